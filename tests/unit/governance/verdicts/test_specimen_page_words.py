"""Small words of the specimen's page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

import pytest

from governance.engine.tables import Finding, Layer
from governance.verdicts.queries.layer_cards import ShownFinding
from governance.verdicts.templatetags.specimen_page import in_text, took, with_links


@dataclass
class _Paper:
    pk: int


@dataclass
class _Used:
    """What a link needs of a paper."""

    paper: _Paper
    reference: str


def test_references_become_links_the_longer_one_first() -> None:
    """COL-1 is the beginning of COL-12: neither link may stand inside the other."""
    papers = [_Used(_Paper(1), "COL-1"), _Used(_Paper(2), "COL-12")]
    text = with_links("COL-12 and COL-1 together cover it.", papers)  # type: ignore[arg-type]
    assert text == (
        '<a class="ref" href="/papers/2/">COL-12</a> and <a class="ref" href="/papers/1/">COL-1</a> together cover it.'
    )


def test_sentences_and_references_are_escaped() -> None:
    papers = [_Used(_Paper(1), "A<b>&1")]
    text = with_links("A<b>&1 does <i>not</i> name it.", papers)  # type: ignore[arg-type]
    assert text == '<a class="ref" href="/papers/1/">A&lt;b&gt;&amp;1</a> does &lt;i&gt;not&lt;/i&gt; name it.'


def test_layers_inside_a_sentence() -> None:
    assert [in_text(layer) for layer in (Layer.LAND, Layer.ACCESS, Layer.CITES)] == ["land", "access (ABS)", "CITES"]


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(None, ""), (0.2, "under a second"), (1.0, "1 second"), (59.4, "59 seconds"), (61.0, "1 min 1 s")],
)
def test_how_long_a_run_took(seconds: float | None, words: str) -> None:
    assert took(None if seconds is None else timedelta(seconds=seconds)) == words


@pytest.mark.parametrize(
    ("finding", "measure", "caption"),
    [
        (Finding("after-end", 3, None, "days"), "3 days", "after the end date"),
        (Finding("after-end", 1, None, "days"), "1 day", "after the end date"),
        (Finding("area-edge", -61.0, 120.0, "m"), "61 m", "inside the edge, ±120 m"),
        (Finding("area-edge", 20.0, 120.0, "m"), "20 m", "outside the edge, ±120 m"),
        (Finding("outside-area", 12_345.0, 30.0, "m"), "12.3 km", "outside the area, ±30 m"),
        (Finding("at-sea", 900.0, 370_400.0, "m"), "900 m", "at sea, off the area"),
        (Finding("straddles", 4, 7, "days"), "4 of 7", "of the days were valid"),
        (Finding("cap-breached", 12, 10, "individuals"), "12 individuals", "taken before this one, limit 10"),
        (Finding("method"), "", "method not allowed"),
    ],
)
def test_measure_and_caption(finding: Finding, measure: str, caption: str) -> None:
    shown = ShownFinding(finding, "")
    assert (shown.measure, shown.caption) == (measure, caption)
