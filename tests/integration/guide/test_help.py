"""The help pages: each opens, says what the engine says, and counts what stands so now."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse
from django.utils.html import escape

from accessions.people.models import Role
from governance.engine.tables import Layer, Verdict
from governance.engine.uses import Answer
from governance.guide.help import kept
from governance.guide.help.finding_texts import FINDINGS
from governance.guide.queries.help_pages import topics
from governance.verdicts.actions import assess
from governance.verdicts.spoken import spoken
from tests.factories import register

pytestmark = pytest.mark.django_db

_SIGNED_IN = 2
"""Queries for who asks: the session and the person."""


@pytest.fixture
def volunteer(client: Client) -> Client:
    client.force_login(register.person(Role.VOLUNTEER))
    return client


def three_after_the_end() -> None:
    """Specimens of 17 June under a permit to 14 June: three days after its end, on the layer collecting."""
    accession, event = register.accession(), register.event()
    for _ in range(3):
        register.specimen(accession=accession, event=event)
    paper = register.paper()
    register.link(paper, accession=accession)
    register.rule(register.sheet("GE"))
    register.version(paper, "2024-05-01", "2024-06-14")
    assess(by=None, why="First assessment")


def test_finding_says_how_many_stand_so(volunteer: Client) -> None:
    three_after_the_end()
    page = volunteer.get(reverse("guide:help-finding", args=["after-end"]))
    address = f"{reverse('verdicts:specimens')}?code=after-end"
    assert f'href="{address}">3 specimens stand so now<' in page.text
    assert len(volunteer.get(address).context["page"].keys) == 3
    assert "No specimen stands so now" in volunteer.get(reverse("guide:help-finding", args=["suspended"])).text


@pytest.mark.parametrize(
    ("name", "word", "address", "text"),
    [
        ("verdict", "outside", "verdict=outside", "3 specimens stand so now"),
        ("verdict", "covered", "", "No specimen stands so now"),
        ("layer", "collecting", "layer=collecting", "3 specimens need a look here"),
        ("layer", "cites", "layer=cites", "3 specimens need a look here"),
    ],
)
def test_word_says_how_many_stand_so(volunteer: Client, name: str, word: str, address: str, text: str) -> None:
    """On the layer CITES too: no country sheet speaks of it, so it cannot be told whether it is required."""
    three_after_the_end()
    page = volunteer.get(reverse(f"guide:help-{name}", args=[word])).text
    assert text in page
    assert f"?{address}" in page


def test_every_page_opens(volunteer: Client) -> None:
    """With the engine's sentence of each of its examples, its days said as pages say them, and what settles it."""
    for code in FINDINGS:
        page = volunteer.get(reverse("guide:help-finding", args=[code]))
        assert page.status_code == 200
        for example in (*kept.given(code), *kept.neighbours(code)):
            assert all(escape(spoken(one["sentence"])) in page.text for one in example["findings"]), code
    for name, words in (("layer", Layer), ("verdict", Verdict), ("answer", Answer)):
        for word in words:  # type: ignore[attr-defined]
            page = volunteer.get(reverse(f"guide:help-{name}", args=[word.code]))
            assert page.status_code == 200
            assert 'class="panel example"' in page.text


def test_a_reason_of_the_desk_can_be_linked_to(volunteer: Client) -> None:
    page = volunteer.get(reverse("guide:help-answer", args=["ask-first"])).text
    assert 'id="title-elsewhere"' in page
    assert "Paper A is silent on it, and title lies with somebody else, who is asked first." in page


@pytest.mark.parametrize("address", ["findings/late", "layers/covered", "verdicts/land", "answers/maybe"])
def test_what_is_no_word_is_not_found(volunteer: Client, address: str) -> None:
    assert volunteer.get(f"{reverse('guide:help')}{address}/").status_code == 404


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("after-end", {"after-end"}),
        ("AFTER the end", {"after-end"}),
        ("straddles", {"straddles"}),
        ("no such word", set()),
    ],
)
def test_words_narrow_the_index(volunteer: Client, words: str, found: set[str]) -> None:
    """By code, in other letters, in the name of a verdict; or nothing, and a way back to all."""
    page = volunteer.get(reverse("guide:help"), {"q": words})
    codes = {topic.code for group in page.context["groups"] for topic in group.topics}
    assert found <= codes and bool(found) == bool(codes)
    assert ("No page speaks of" in page.text) != bool(found)
    assert len(codes) < sum(len(group.topics) for group in topics())


def test_what_is_typed_is_shown_as_text(volunteer: Client) -> None:
    assert "<b>x" not in volunteer.get(reverse("guide:help"), {"q": "<b>x"}).text


@pytest.mark.parametrize(
    ("name", "arguments", "more"),
    [("help", [], 0), ("help-finding", ["area-edge"], 2), ("help-layer", ["land"], 2), ("help-answer", ["silent"], 0)],
)
def test_queries(
    volunteer: Client, django_assert_num_queries: object, name: str, arguments: list[str], more: int
) -> None:
    """The examples ask nothing of the register; the count is one query, with the mark of what stands before it."""
    with django_assert_num_queries(_SIGNED_IN + more):  # type: ignore[operator]
        assert volunteer.get(reverse(f"guide:{name}", args=arguments)).status_code == 200


def test_head_of_every_page_finds_help(volunteer: Client) -> None:
    """By words of the explanation and by code; as a kind beside the others, which never goes straight there."""
    page = volunteer.get(reverse("search:search"), {"q": "nautical"})
    assert page.status_code == 200
    assert f'href="{reverse("guide:help-finding", args=["at-sea"])}"' in page.text
    by_code = volunteer.get(reverse("search:search"), {"q": "taxon-broad"})
    assert f'href="{reverse("guide:help-finding", args=["taxon-broad"])}"' in by_code.text
