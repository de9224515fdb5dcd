"""Many specimens at once: a paper linked after a look at what will happen, a search recorded for their accessions."""

from __future__ import annotations

from datetime import date
from typing import Any, ClassVar

import pytest
from django.test import Client

from accessions.material.models import Accession, Specimen, Touch
from accessions.people.access import NotAllowedError
from accessions.people.models import Role
from governance.engine.tables import Layer, SearchState
from governance.papers.models import Paper, PaperLink
from governance.verdicts.actions.searches import record_searches
from governance.verdicts.models import Search
from governance.verdicts.views import bulk
from tests.factories import register
from tests.factories.verdicts import judged

pytestmark = pytest.mark.django_db

LINK, SEARCH = "/specimens/link/", "/specimens/record-search/"


@pytest.fixture
def curator(client: Client) -> Client:
    client.force_login(register.person(Role.CURATOR))
    return client


@pytest.fixture
def paper() -> Paper:
    return register.paper("EXP-1", (Layer.EXPORT,))


@pytest.fixture(autouse=True)
def three() -> list[Specimen]:
    """Two outside on land, of part B and of no part of one accession; a calm one of another."""
    accession = register.accession("LMN-2024-001")
    made = [
        register.specimen("A-1", accession=accession, part=register.part(accession, "B")),
        register.specimen("A-2", accession=accession),
        register.specimen("C-1", accession=register.accession("LMN-2019-001")),
    ]
    for specimen, strip in zip(made, ("411111111", "411111111", "111111111"), strict=True):
        judged(specimen, strip)
    return made


@pytest.fixture(autouse=True)
def no_assessment(monkeypatch: pytest.MonkeyPatch) -> None:
    """What an assessment makes of a change is tested elsewhere; here the marks that it takes up are looked at."""
    monkeypatch.setattr("governance.verdicts.middleware.take_up_soon", lambda *, by: None)


def linked(paper: Paper) -> list[str]:
    links = PaperLink.objects.filter(paper=paper, unlinked_at__isnull=True)
    return sorted(links.values_list("specimen__catalog_number", flat=True))


def confirm(client: Client, chosen: dict[str, Any]) -> Any:
    """Look at what will be linked, then press its button."""
    return client.post(LINK, {**chosen, "seen": client.get(LINK, chosen).context["seen"]})


class TestLinking:
    def test_ticked_rows(self, curator: Client, three: list[Specimen], paper: Paper) -> None:
        """Choose, look, link: the page in between links nothing."""
        picks: dict[str, Any] = {"pick": [three[0].pk, three[2].pk], "of": "verdict=outside"}
        chosen = curator.get(LINK, picks)
        assert "<b>2 specimens are chosen.</b>" in chosen.content.decode()
        looked = curator.get(LINK, {**picks, "paper": "exp-1", "why": "annex 2"})
        assert "<b>2 specimens will be linked to EXP-1.</b>" in looked.content.decode()
        assert linked(paper) == []
        done = confirm(curator, {**picks, "paper": "EXP-1", "why": "annex 2"})
        assert done.headers["Location"] == "/specimens/?verdict=outside"
        assert linked(paper) == ["A-1", "C-1"]
        assert set(PaperLink.objects.values_list("why", flat=True)) == {"annex 2"}
        assert Touch.objects.filter(scope="paper", key=paper.pk).exists()
        assert "EXP-1 now speaks for 2 more specimens." in curator.get("/specimens/").content.decode()

    def test_all_that_match(self, curator: Client, paper: Paper) -> None:
        confirm(curator, {"all": "1", "of": "verdict=outside", "paper": "EXP-1"})
        assert linked(paper) == ["A-1", "A-2"]

    def test_what_is_linked_already_is_told(self, curator: Client, three: list[Specimen], paper: Paper) -> None:
        register.link(paper, specimen=three[0])
        looked = curator.get(LINK, {"all": "1", "of": "", "paper": "EXP-1"}).content.decode()
        assert "<b>2 specimens will be linked to EXP-1.</b> 1 is linked already and stays so." in looked
        confirm(curator, {"all": "1", "of": "", "paper": "EXP-1"})
        assert linked(paper) == ["A-1", "A-2", "C-1"]

    def test_a_list_that_changed_meanwhile_is_shown_again(
        self, curator: Client, three: list[Specimen], paper: Paper
    ) -> None:
        """Two were looked at; then one went and another came, so that there are two again: nothing is linked that
        nobody saw."""
        chosen = {"all": "1", "of": "verdict=outside", "paper": "EXP-1"}
        seen = curator.get(LINK, chosen).context["seen"]
        judged(three[0], "111111111")
        judged(register.specimen("A-3"), "411111111")
        answer = curator.post(LINK, {**chosen, "seen": seen})
        assert "The list has changed meanwhile: please look again." in answer.content.decode()
        assert "<b>2 specimens will be linked to EXP-1.</b>" in answer.content.decode()
        assert linked(paper) == []

    def test_a_mistaken_filter_links_nothing(self, curator: Client, paper: Paper) -> None:
        answer = curator.post(LINK, {"all": "1", "of": "accession=none-such", "paper": "EXP-1", "seen": ""})
        assert "No specimen is chosen." in answer.content.decode()
        assert linked(paper) == []

    def test_an_unknown_paper_is_named(self, curator: Client) -> None:
        answer = curator.get(LINK, {"all": "1", "of": "", "paper": "EXP-9"}).content.decode()
        assert "No paper has the reference “EXP-9”. Register it first." in answer

    def test_too_many_are_refused_with_another_way(
        self, curator: Client, paper: Paper, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(bulk, "MOST_LINKED", 2)
        answer = curator.post(LINK, {"all": "1", "of": "", "paper": "EXP-1", "seen": ""}).content.decode()
        assert "link the paper to their accessions, parts or sites instead" in answer
        assert linked(paper) == []

    @pytest.mark.parametrize("role", [Role.VOLUNTEER, Role.AUDITOR, Role.ADMINISTRATOR])
    def test_who_may_not(self, client: Client, role: str, paper: Paper) -> None:
        client.force_login(register.person(role))
        assert client.get(LINK).status_code == 403
        assert client.post(LINK, {"all": "1", "of": "", "paper": "EXP-1", "seen": ""}).status_code == 403
        assert linked(paper) == []


class TestSearches:
    VALUES: ClassVar[dict[str, Any]] = {
        "layer": int(Layer.EXPORT), "state": int(SearchState.NONE_FOUND), "searched_by": "N. Ek",
        "searched_on": "2024-11-18", "note": "files of 2019 to 2024",
    }  # fmt: skip

    def test_one_row_for_each_accession_and_part(self, curator: Client) -> None:
        """A-1 is of part B, A-2 of no part: the part and the accession are each searched for."""
        shown = curator.get(SEARCH, {"all": "1", "of": "verdict=outside"}).content.decode()
        assert "it is recorded for the 2 listed here" in shown
        answer = curator.post(SEARCH, {"all": "1", "of": "verdict=outside", **self.VALUES})
        assert answer.headers["Location"] == "/specimens/?verdict=outside"
        found = Search.objects.order_by("part")
        assert {(s.accession.number, s.part and s.part.letter) for s in found} == {
            ("LMN-2024-001", None), ("LMN-2024-001", "B"),
        }  # fmt: skip
        assert {(s.layer, s.state, s.searched_on, s.searched_by) for s in found} == {
            (Layer.EXPORT, SearchState.NONE_FOUND, date(2024, 11, 18), "N. Ek")
        }
        assert set(Touch.objects.values_list("scope", flat=True)) == {"accession", "part"}
        assert Search.history.filter(history_user__username="curator").count() == 2

    def test_mistakes_are_all_named_and_nothing_is_recorded(self, curator: Client) -> None:
        answer = curator.post(
            SEARCH, {"all": "1", "of": "", **self.VALUES, "layer": "", "state": "", "searched_on": "2999-01-01"}
        ).content.decode()
        assert "Nothing was saved yet" in answer
        assert "The day of the search is not yet come" in answer
        assert answer.count("This field is required.") >= 2
        assert Search.objects.count() == 0

    def test_the_layer_of_the_page_one_comes_from_is_chosen(self, curator: Client, three: list[Specimen]) -> None:
        shown = curator.get(f"{SEARCH}?pick={three[0].pk}&layer=export")
        assert shown.context["form"].initial["layer"] == int(Layer.EXPORT)

    def test_the_action_asks_for_the_right_itself(self) -> None:
        with pytest.raises(NotAllowedError):
            record_searches(
                accessions=[Accession.objects.all()[0]], layer=Layer.LAND, state=SearchState.NONE_FOUND,
                searched_on=date(2024, 1, 1), searched_by="N. Ek", by=register.person(Role.AUDITOR), why="x",
            )  # fmt: skip
        assert (Search.objects.count(), Touch.objects.count()) == (0, 0)

    @pytest.mark.parametrize("role", [Role.VOLUNTEER, Role.AUDITOR])
    def test_who_may_not(self, client: Client, role: str) -> None:
        client.force_login(register.person(role))
        assert client.post(SEARCH, {"all": "1", "of": "", **self.VALUES}).status_code == 403
        assert Search.objects.count() == 0
