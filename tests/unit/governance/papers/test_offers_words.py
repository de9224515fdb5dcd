"""Numbers, parties, taxa, methods and conditions read from the words of papers; values read by hand."""

from __future__ import annotations

import pytest

from governance.papers.offers import Offer, Origin, PageText, WhyNot, looks_alike, offers_in

KNOWN = {"odonata": "Odonata", "unio crassus": "Unio crassus", "cordulegastridae": "Cordulegastridae", "aves": "Aves"}


def found(text: str, *fields: str) -> list[Offer]:
    return [offer for offer in offers_in([PageText(1, 1, text)], KNOWN) if offer.field in fields]


def values(text: str, *fields: str) -> list[str]:
    return [offer.value for offer in found(text, *fields)]


@pytest.mark.parametrize(
    ("words", "number"),
    [
        ("Permit No. COL-2024-052", "COL-2024-052"),
        ("PERMIT NUMBER: 12/345", "12/345"),
        ("Licence No: SPC 2019/031.", ""),  # a number begins with a part that holds a figure
        ("Reference\nLND-2024-117", "LND-2024-117"),
        ("No. 77", "77"),
        ("Permiso de colecta N.º CR-2026-061", "CR-2026-061"),
        ("Resolución N° 045-2026", "045-2026"),
        ("Permis n° 2024/118", "2024/118"),
        ("Licença n.º 77-B/2024", "77-B/2024"),
        ("Genehmigung Nr. 12-345/24", "12-345/24"),
        ("Permit No. C0L-2O24-O52", "C0L-2O24-O52"),  # as it was read: nothing is put right
        ("There is no 5 of it", ""),
        ("Permit number to be told later", ""),
        ("It replaces permit no. COL-2023-011.", ""),
    ],
)
def test_the_number_of_the_paper(words: str, number: str) -> None:
    assert values(words, "reference") == ([number] if number else [])


@pytest.mark.parametrize(
    ("words", "number"),
    [
        ("File no: NDE/2024/771", "NDE/2024/771"),
        ("Expediente N.º 45/2026", "45/2026"),
        ("Dossier n° 9-1", "9-1"),
        ("Processo: 0001.2024", "0001.2024"),
        ("Aktenzeichen: 7-88.1", "7-88.1"),
    ],
)
def test_a_second_number(words: str, number: str) -> None:
    assert values(words, "second_number", "reference") == [number]


def test_a_recognised_number_with_a_blank_in_it_is_not_offered() -> None:
    """Recognition parts figures now and then; in the text of a file the blank was typed."""
    text = "Permit No. SP-3 1/2022"
    assert values(text, "reference") == ["SP-3 1/2022"]
    words = [[start, end, 0.1, 0.1, 0.2, 0.2, 90] for start, end in ((0, 6), (7, 10), (11, 15), (16, 22))]
    (offer,) = offers_in([PageText(1, 1, text, words)])
    assert (offer.value, offer.why_not, offer.words) == ("", WhyNot.BLANK_INSIDE, text)


def test_a_value_ends_where_a_wide_gap_or_another_label_follows() -> None:
    text = "Holder: J. Ek Nationality: Swedish"
    assert values(text, "holder") == []
    boxes = [(0, 7, 0.1, 0.2), (8, 10, 0.21, 0.23), (11, 13, 0.24, 0.26), (14, 26, 0.5, 0.6), (27, 34, 0.61, 0.7)]
    words = [[start, end, left, 0.1, right, 0.11, None] for start, end, left, right in boxes]
    (offer,) = [o for o in offers_in([PageText(1, 1, text, words)]) if o.field == "holder"]
    assert offer.value == "J. Ek"


def test_a_condition_ends_where_the_page_leaves_space() -> None:
    text = "Conditions\n1. Return the shells\nat once.\n2. Send a list.\nIssued on 5 August 2019"
    lines = text.split("\n")
    at = [sum(len(line) + 1 for line in lines[:row]) for row in range(len(lines))]
    tops = [0.10, 0.12, 0.14, 0.16, 0.20]  # twice the space before the last line
    words = [[a, a + len(line), 0.1, top, 0.5, top + 0.01, None] for a, line, top in zip(at, lines, tops, strict=True)]
    offers = [o.value for o in offers_in([PageText(1, 1, text, words)]) if o.field == "conditions"]
    assert offers == ["p. 1: Return the shells at once.", "p. 1: Send a list."]


def test_a_genus_is_not_offered_for_a_species_of_it() -> None:
    known = {"unio": "Unio", "unionidae": "Unionidae"}
    offers = offers_in([PageText(1, 1, "We take Unio tumidus, Unio and Unionidae except Unio pictorum")], known)
    assert [offer.value for offer in offers] == ["Unio", "Unionidae"]
    behind = offers_in([PageText(1, 1, "Species: Unio tumidus\nPermitted methods: net")], known)
    assert [offer.value for offer in behind if offer.field == "taxa"] == ["Unio tumidus"]


def test_signs_that_recognition_confuses_are_told() -> None:
    assert looks_alike("COL-2O24-052")
    assert looks_alike("l2/2024")
    assert not looks_alike("COL-2024-052")


@pytest.mark.parametrize(
    ("words", "field", "value"),
    [
        ("Issued by: Nazvri Directorate of Environment", "issuer", "Nazvri Directorate of Environment"),
        ("Autorité : Bureau d’Okarumbwa", "issuer", "Bureau d’Okarumbwa"),
        ("Holder: J. Ek   Nationality: Swedish", "holder", "J. Ek"),
        ("Titular del permiso: O. Rask", "holder", "O. Rask"),
        ("Inhaberin: I. Holmqvist", "holder", "I. Holmqvist"),
        ("Issued to:\nJ. Ek", "holder", "J. Ek"),
        ("Country: Georgia", "jurisdiction", "GE"),
        ("País: Costa Rica", "jurisdiction", "CR"),
        ("Pays : Suède", "jurisdiction", "SE"),
        ("País: Moçambique", "jurisdiction", "MZ"),
        ("Staat: Schweden", "jurisdiction", "SE"),
        ("Country: Okarumbwa", "jurisdiction", ""),  # no country of ISO 3166
        ("The holder shall report.", "holder", ""),
    ],
)
def test_parties(words: str, field: str, value: str) -> None:
    assert values(words, field) == ([value] if value else [])


def test_the_issuer_may_stand_in_the_letterhead_of_the_first_page_only() -> None:
    text = "Sundvik Nature Office\nSPECIES LICENCE\nHolder: I. Holmqvist"
    (offer,) = found(text, "issuer")
    assert (offer.value, offer.origin) == ("Sundvik Nature Office", Origin.LETTERHEAD)
    second = [o for o in offers_in([PageText(2, 2, text)]) if o.field == "issuer"]
    assert second == []


def test_taxa_known_to_the_register_and_by_their_form() -> None:
    text = (
        "Species: Unio crassus, Ophiogomphus cecilia and Astacus astacus with nets\nThe permit holder may take Odonata."
    )
    offers = found(text, "taxa")
    assert [(offer.value, offer.origin) for offer in offers] == [
        ("Unio crassus", Origin.KNOWN_NAME),
        ("Ophiogomphus cecilia", Origin.LATIN_FORM),
        ("Astacus astacus", Origin.LATIN_FORM),
        ("Odonata", Origin.KNOWN_NAME),
    ]


@pytest.mark.parametrize(
    "words",
    ["Para la colecta", "The permit holder", "La presente autorización", "odonata", "Ophiogomphus cecilia", "Avesta"],
)
def test_words_that_only_look_like_a_name_are_not_offered(words: str) -> None:
    """A name of the right form, too, counts only behind a cue or where the register knows it."""
    assert found(words, "taxa") == []


@pytest.mark.parametrize(
    "words",
    ["Odonata except Cordulegastridae.", "Odonata, excepto Cordulegastridae", "Odonata, außer Cordulegastridae",
     "Odonata, à l’exclusion de Cordulegastridae"],
)  # fmt: skip
def test_a_taxon_that_the_sentence_excludes(words: str) -> None:
    assert values(words, "taxa") == ["Odonata", "not Cordulegastridae"]


def test_an_exception_ends_with_its_sentence() -> None:
    assert values("All except Aves. Unio crassus is allowed.", "taxa") == ["not Aves", "Unio crassus"]


def test_methods_of_a_plain_list() -> None:
    assert values("Permitted methods: hand net, kick net, light trap.", "methods") == [
        "hand net", "kick net", "light trap",
    ]  # fmt: skip
    assert values("Methods: hand net, not electrofishing", "methods") == []
    assert values("Métodos: red de mano", "methods") == ["red de mano"]


def test_conditions_run_over_pages_and_carry_theirs() -> None:
    first = (
        "Conditions\n1. Large mussels are to be\nreturned at once.\n2) A report is due by 31 December 2024.\n\nfoot 1"
    )
    second = "3. No electrofishing.\n\n9. Not of this list\nSigned"
    offers = [o for o in offers_in([PageText(11, 1, first), PageText(12, 2, second)]) if o.field == "conditions"]
    assert [(o.value, o.page) for o in offers] == [
        ("p. 1: Large mussels are to be returned at once.", 11),
        ("p. 1: A report is due by 31 December 2024.", 11),
        ("p. 2: No electrofishing.", 12),
    ]


def test_numbered_lines_without_a_heading_are_no_conditions() -> None:
    assert found("1. Applicant\n2. Address\n", "conditions") == []
    assert found("The conditions of the weather\n1. Rain\n", "conditions") == []


def test_lettered_conditions() -> None:
    assert values("CONDICIONES:\na) Solo de día.\nb) Informe anual.", "conditions") == [
        "p. 1: Solo de día.", "p. 1: Informe anual.",
    ]  # fmt: skip


def test_each_value_once_and_fields_in_the_order_of_the_form() -> None:
    text = "Permit No. COL-1\nIssued on 6 May 2024\nPermit No. COL-1"
    assert [offer.field for offer in offers_in([PageText(1, 1, text), PageText(2, 2, text)])] == [
        "reference", "issued_on",
    ]  # fmt: skip


@pytest.mark.parametrize("text", ["", "\n\n", "İıß ﬁ 𝔘 \u202e:", "1. " * 500, "Permit No. " + "9" * 5000])
def test_strange_pages_offer_nothing_and_break_nothing(text: str) -> None:
    assert offers_in([PageText(1, 1, text)]) == []
