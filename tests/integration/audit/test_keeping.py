"""Until when papers are kept, and why they are not to be disposed of yet."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from accessions.people.models import Role, User
from governance.audit.actions import keeping as actions
from governance.audit.actions.errors import AuditError
from governance.audit.models import KeepingRule, UtilisationEnd
from governance.audit.queries.keeping import Kept, State, kept_paper
from governance.engine.tables import Layer
from governance.papers.actions.title import add_title, remove_title
from governance.papers.models import Paper, PaperStatus, TitleRecord
from tests.factories import duties, register, usedesk

pytestmark = pytest.mark.django_db

TODAY = date(2026, 11, 26)
LAW = "Regulation (EU) No 511/2014, Art. 4(6), read by the house"


@pytest.fixture
def officer() -> User:
    return register.person(Role.COMPLIANCE)


def access_paper(reference: str = "PIC-2001-1", **fields: Any) -> Paper:
    return register.paper(reference, (Layer.ACCESS,), **({"kind": "prior-informed-consent"} | fields))


def adopt(officer: User, kind: str = "abs", years: int | None = 20) -> KeepingRule:
    return actions.adopt_rule(kind=kind, years=years, source=LAW, by=officer, why="Adopted by the board")


def ended(paper: Paper, day: date, by: User) -> UtilisationEnd:
    return actions.state_end(paper=paper, ended_on=day, evidence="Final report 17", by=by, today=TODAY)


def kept(paper: Paper, today: date = TODAY) -> Kept:
    return kept_paper(paper, today)


class TestDays:
    def test_open_utilisation_has_no_last_day(self, officer: User) -> None:
        """However long ago the paper itself ended."""
        paper = access_paper()
        register.version(paper, "1970-01-01", "1971-01-01")
        adopt(officer)
        found = kept(paper)
        assert (found.state, found.until) == (State.OPEN, None) and "nobody stated its end" in found.why

    def test_twenty_years_after_the_end(self, officer: User) -> None:
        """29 February 2004 and twenty years: up to 29 February 2024, and not on that day."""
        paper = access_paper()
        adopt(officer)
        ended(paper, date(2004, 2, 29), officer)
        assert kept(paper).until == date(2024, 2, 29) and kept(paper).state is State.MAY_GO
        assert kept(paper, date(2024, 2, 29)).state is State.UNTIL
        assert kept(paper, date(2024, 3, 1)).state is State.MAY_GO

    def test_a_default_lets_nothing_go(self, officer: User) -> None:
        paper = access_paper()
        ended(paper, date(2000, 1, 1), officer)
        assert kept(paper).state is State.NOT_ADOPTED

    def test_withdrawn_it_is_open_again(self, officer: User) -> None:
        paper = access_paper()
        adopt(officer)
        end = ended(paper, date(2000, 1, 1), officer)
        actions.withdraw_end(of=end, why="The project went on", by=officer)
        assert kept(paper).state is State.OPEN and UtilisationEnd.objects.filter(pk=end.pk).exists()
        assert UtilisationEnd.history.count() == 2  # type: ignore[attr-defined]

    def test_title_is_kept_for_ever(self, officer: User) -> None:
        """By its kind, and by a title record that names it; the longest keeping counts."""
        deed = register.paper("DEED-1", kind="deed-of-gift")
        named = access_paper("PIC-2")
        TitleRecord.objects.create(accession=register.accession(), kind="gift", paper=named)
        adopt(officer)
        assert [kept(one).state for one in (deed, named)] == [State.FOR_EVER] * 2
        with pytest.raises(AuditError, match="kept for ever"):
            adopt(officer, "title", 30)

    def test_other_papers_follow_their_last_day(self, officer: User) -> None:
        adopt(officer, "other", 10)
        over, running, unread = (register.paper(f"COL-{n}") for n in range(3))
        register.version(over, "2010-01-01", "2011-06-30")
        register.version(running, "2010-01-01", None)
        assert (kept(over).since, kept(over).until) == (date(2011, 6, 30), date(2021, 6, 30))
        assert [kept(one).state for one in (over, running, unread)] == [State.MAY_GO, *[State.NOT_KNOWN] * 2]

    def test_a_revoked_paper_ends_before_its_time(self, officer: User) -> None:
        """Its last day is the one before the revocation: 1 March 2012."""
        adopt(officer, "other", 10)
        paper = register.paper()
        register.version(paper, "2010-01-01", "2030-01-01")
        PaperStatus.objects.create(paper=paper, state="revoked", from_on=date(2012, 3, 2))
        assert kept(paper).until == date(2022, 3, 1)


class TestHolds:
    @pytest.fixture
    def paper(self, officer: User) -> Paper:
        """Past its day, with one specimen under it."""
        paper = access_paper()
        adopt(officer)
        ended(paper, date(2000, 1, 1), officer)
        return paper

    def test_material_that_is_held_keeps_it(self, paper: Paper) -> None:
        specimen = register.specimen()
        register.link(paper, accession=specimen.accession)
        assert kept(paper).state is State.HELD and "1 specimen under it is still held" in kept(paper).why
        usedesk.made_use(specimen, deed="gift", on=date(1999, 1, 1))
        assert kept(paper).state is State.MAY_GO

    def test_a_title_record_that_was_removed_keeps_it_all_the_same(self, paper: Paper, officer: User) -> None:
        """Else whoever wants to dispose of a deed would remove the record of title first."""
        accession = register.accession()
        title = add_title(accession=accession, kind="gift", paper=paper, by=officer, why="deed found")
        assert kept(paper).state is State.FOR_EVER
        remove_title(title=title, by=officer, why="entered by mistake")
        assert kept(paper).state is State.HELD and "a title record named it" in kept(paper).why

    def test_an_extract_keeps_it_when_its_parent_is_used_up(self, paper: Paper) -> None:
        """The extract stands in another accession and no paper names it; it is genetic resources of the parent."""
        parent = register.specimen()
        register.link(paper, specimen=parent)
        extract = register.specimen(accession=register.accession("LMN-2026-001"), parent=parent, kind="part")
        usedesk.made_use(parent, deed="gift", on=date(1999, 1, 1))
        assert kept(paper).state is State.HELD
        usedesk.made_use(extract, deed="gift", on=date(1999, 1, 1))
        assert kept(paper).state is State.MAY_GO

    def test_a_loan_and_a_duty_keep_it(self, paper: Paper) -> None:
        specimen = register.specimen()
        register.link(paper, specimen=specimen)
        usedesk.made_use(specimen, deed="loan", on=date(1999, 1, 1))
        duties.duty(paper=paper)
        why = kept(paper).why
        assert kept(paper).state is State.HELD
        assert "1 specimen under it is out on loan" in why and "1 duty that it asks for is open" in why

    def test_a_use_after_the_stated_end_keeps_it(self, paper: Paper) -> None:
        """Given away in 2003 under utilisation that is said to have ended in 2000: somebody has to look at it."""
        specimen = register.specimen()
        register.link(paper, specimen=specimen)
        usedesk.made_use(specimen, deed="gift", on=date(2003, 5, 3))
        assert kept(paper).state is State.HELD and "a use of 3 May 2003" in kept(paper).why

    def test_a_paper_in_force_stays(self, paper: Paper) -> None:
        register.version(paper, "2010-01-01", None)
        assert kept(paper).state is State.HELD and "the paper itself is not over" in kept(paper).why


class TestStating:
    def test_what_is_refused(self, officer: User) -> None:
        paper = access_paper()
        for day, evidence, words in (
            (date(2026, 11, 27), "Report", "a day to come"), (TODAY, "  ", "Say what shows"),
        ):  # fmt: skip
            with pytest.raises(AuditError, match=words):
                actions.state_end(paper=paper, ended_on=day, evidence=evidence, by=officer, today=TODAY)
        with pytest.raises(AuditError, match="its rule is another one"):
            ended(register.paper(), TODAY, officer)
        ended(paper, TODAY, officer)
        with pytest.raises(AuditError, match="stands for this paper already"):
            ended(paper, TODAY, officer)
        assert UtilisationEnd.objects.count() == 1


class TestPages:
    @pytest.fixture
    def signed_in(self, client: Client, officer: User) -> Client:
        client.force_login(officer)
        return client

    def test_the_page_and_its_file(
        self, signed_in: Client, officer: User, django_assert_num_queries: DjangoAssertNumQueries
    ) -> None:  # fmt: skip
        adopt(officer)
        for number in range(3):
            paper = access_paper(f"PIC-{number}")
            register.version(paper, "1990-01-01", "1991-01-01")
        ended(Paper.objects.get(reference="PIC-1"), date(2001, 1, 1), officer)
        address = reverse("audit:keeping")
        signed_in.get(address)
        # Two of the session, one of the rules besides; of the papers and of what holds those past their day the rest.
        with django_assert_num_queries(14):
            page = signed_in.get(address)
        assert b"1 paper may be disposed of." in page.content
        only = signed_in.get(address, {"state": "open", "words": "pic-2"}).content.decode()
        assert "PIC-2" in only and "PIC-0" not in only and "PIC-1" not in only
        told = b"".join(signed_in.get(reverse("audit:keeping-csv"), {"state": "may-go"}).streaming_content).decode()  # type: ignore[attr-defined]
        assert told.splitlines()[1].startswith("PIC-1,") and "2021-01-01" in told and len(told.splitlines()) == 2

    def test_end_and_withdrawal_by_page(self, signed_in: Client) -> None:
        paper = access_paper()
        address = f"{reverse('audit:utilisation-end')}?paper={paper.pk}"
        late = signed_in.post(address, {"ended_on": "2999-01-01", "evidence": "Report"})
        assert late.status_code == 422 and b"a day to come" in late.content
        said = signed_in.post(address, {"ended_on": timezone.localdate().isoformat(), "evidence": "Report"})
        assert said.status_code == 302
        end = UtilisationEnd.objects.get()
        done = signed_in.post(reverse("audit:utilisation-withdraw", args=[end.pk]), {"why": "It went on"})
        end.refresh_from_db()
        assert done.status_code == 302 and end.withdrawn_reason == "It went on"
        assert signed_in.get(f"{reverse('audit:utilisation-end')}?paper=x").status_code == 302

    def test_a_rule_is_adopted_by_page(self, signed_in: Client) -> None:
        address = reverse("audit:keeping-rules")
        sent = {"kind": "other", "years": "501", "source": "House decision 4", "why": "Decided"}
        assert signed_in.post(address, sent).status_code == 422
        assert signed_in.post(address, sent | {"years": "15"}).status_code == 302
        assert KeepingRule.objects.get().years == 15 and b"House decision 4" in signed_in.get(address).content


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ({"kind": "gossip"}, "no sort of record"),
        ({"years": -1}, "Write 0 to 500 years"),
        ({"years": 501}, "Write 0 to 500 years"),
        ({"source": " "}, "where the number comes from"),
        ({"why": " "}, "why the rule changes"),
    ],
)
def test_rules_that_are_none(officer: User, told: dict[str, Any], words: str) -> None:
    values: dict[str, Any] = {"kind": "abs", "years": 20, "source": LAW, "why": "Adopted by the board"}
    before = KeepingRule.objects.count()
    with pytest.raises(AuditError, match=words):
        actions.adopt_rule(by=officer, **(values | told))
    assert KeepingRule.objects.count() == before


def test_an_end_is_withdrawn_once(officer: User) -> None:
    end = ended(access_paper(), date(2020, 1, 1), officer)
    actions.withdraw_end(of=end, why="The project went on", by=officer)
    with pytest.raises(AuditError, match="withdrawn already"):
        actions.withdraw_end(of=end, why="The project went on again", by=officer)
    assert UtilisationEnd.objects.get().withdrawn_reason == "The project went on"
