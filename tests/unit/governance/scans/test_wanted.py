"""What somebody looks for, how words are compared, and the snippet with the hits."""

from __future__ import annotations

import pytest

from governance.scans.reading.folding import folded_words, tokens
from governance.scans.reading.wanted import Piece, hits, phrases, snippet


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Autorización", "autorizacion"),
        ("AUTORIZAÇÃO", "autorizacao"),
        ("Straße STRASSE", "strasse strasse"),
        ("ﬁeld ﬂora", "field flora"),  # U+FB01, U+FB02: the Unicode Character Database takes them apart
        ("Ærø œuvre", "aero oeuvre"),
        ("e\u0301te\u0301 été", "ete ete"),  # accents as characters of their own
        ("LND-2024/117", "lnd 2024 117"),
        ("collec-\ntion", "collection"),
        ("col\u00adlection", "collection"),  # soft hyphen
        ("LND-\n2024", "lnd 2024"),
        ("upper-\nLower", "upper lower"),
        ("კოლხეთი ΣΊΣΥΦΟΣ", "კოლხეთი σισυφοσ"),
        ("snake_case", "snake case"),
        ("12 m², № 7", "12 m2 7"),
        ("... — !", ""),
    ],
)
def test_words_are_folded(text: str, expected: str) -> None:
    assert folded_words(text).strip() == expected


def test_a_word_knows_where_it_stands() -> None:
    text = "The collec-\ntion of Ærø."
    assert [text[token.start : token.end] for token in tokens(text)] == ["The", "collec-\ntion", "of", "Ærø"]


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("upper bridge", [" upper ", " bridge"]),
        ("upper bridge ", [" upper ", " bridge "]),
        ('"upper bridge"', [" upper bridge "]),
        ('"upper bri', [" upper bri"]),
        ("LND-2024-11", [" lnd 2024 11"]),
        ("„obere Brücke“ Mühle", [" obere brucke ", " muhle"]),
        ('" " - "', []),
        ("river river", [" river ", " river"]),
        ("", []),
    ],
)
def test_what_is_typed(typed: str, expected: list[str]) -> None:
    assert [phrase.folded for phrase in phrases(typed)] == expected


def marked(text: str, typed: str) -> list[str]:
    return [text[hit.start : hit.end] for hit in hits(text, phrases(typed))]


def test_hits_are_marked_as_they_are_written() -> None:
    text = "Autorización NC/2024/117 de la Autoridad, autor."
    assert marked(text, "autor") == ["Autorización", "Autoridad", "autor"]
    assert marked(text, '"autor"') == ["autor"]
    assert marked(text, "nc-2024") == ["NC/2024"]
    assert marked(text, '"de la"') == ["de la"]
    assert marked(text, '"la de"') == []


def test_a_snippet_has_the_hit_and_what_is_around_it() -> None:
    text = "One " * 100 + "the upper\nbridge of Nazvri " + "two " * 100
    pieces = snippet(text, hits(text, phrases('"upper bridge"')))
    assert Piece("upper bridge", is_hit=True) in pieces
    shown = "".join(piece.text for piece in pieces)
    assert shown.startswith("… One") and shown.endswith("two …")
    assert len(shown) < 400


def test_a_snippet_of_a_short_text_is_all_of_it() -> None:
    text = "Permit for Nazvri"
    assert snippet(text, hits(text, phrases("for"))) == [Piece("Permit "), Piece("for", is_hit=True), Piece(" Nazvri")]


def test_a_text_of_a_million_letters_is_no_hindrance() -> None:
    text = "a" * 1_000_000
    assert folded_words(text) == f" {'a' * 100} "
    assert len("".join(piece.text for piece in snippet(text, []))) < 400
