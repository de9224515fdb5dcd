"""Where the house asks for a second person, a decision beside a verdict changes nothing until another one agrees."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse

from accessions.material.models import Specimen
from accessions.people.access import NotAllowedError
from accessions.people.models import Role, User
from governance.audit.queries.seal.problems import Problems
from governance.audit.queries.seal.verdicts import check_standings
from governance.engine.tables import Layer, Verdict
from governance.reports.composing.verdicts import _decided
from governance.verdicts.actions.house_rules import change_house_rules
from governance.verdicts.actions.overrides import OverrideError, overrule, withdraw
from governance.verdicts.actions.reviewing import agree, refuse
from governance.verdicts.models import Override, Standing
from governance.verdicts.queries.filters import Filters
from governance.verdicts.queries.permit_terms import terms_of
from governance.verdicts.queries.reasons import shared_reasons
from governance.verdicts.queries.specimen_page import page_specimen, specimen_page
from governance.verdicts.standing_columns import fill_columns, strip_of
from tests.factories import register
from tests.factories.verdicts import judged

pytestmark = pytest.mark.django_db

WHY, NOTE = "A letter of 1998 allows it.", "I read the letter of 1998, too."
COLLECTING = Layer.COLLECTING
MISSING = "0" + str(int(Verdict.MISSING)) + "1111111"
COVERED = "001111111"


@pytest.fixture
def decider() -> User:
    return register.person(Role.REGISTRAR)


@pytest.fixture
def reviewer() -> User:
    return register.person(Role.COMPLIANCE)


@pytest.fixture
def specimen() -> Specimen:
    made = register.specimen("LMN-1")
    judged(made, MISSING)
    fill_columns("SELECT id FROM material_specimen WHERE id = %s", [made.pk])
    return made


def asked_for(by: User, *, yes: bool = True) -> None:
    change_house_rules(values={"overrides_need_review": yes}, by=by, why="Decision 5 of the house")


def decided(specimen: Specimen, by: User) -> Override:
    return overrule(specimen=specimen, layer=COLLECTING, decided=Verdict.COVERED, reason=WHY, by=by)


def what_all_read(specimen: Specimen) -> dict[str, Any]:
    """The verdict of the layer, as each of those tells it that read decisions of people."""
    row = Standing.objects.get(pk=specimen.pk)
    found = page_specimen(specimen.pk)
    assert found is not None
    page = specimen_page(found)
    problems = Problems()
    check_standings(problems, lambda words, done, total: None)
    reasons, _count = shared_reasons(Filters())
    (terms,) = terms_of([specimen.pk])
    return {
        "list": strip_of(row.cells), "worst": row.worst, "overruled": row.is_overruled,
        "page": int(page.cards[COLLECTING].cell.verdict), "settled": len(page.settled_cards),
        "waits": len(page.waiting_cards), "reasons": sum(one.specimens for one in reasons),
        "report": _decided([specimen.pk]), "terms": [str(one) for one in terms.terms], "seal": problems.count,
    }  # fmt: skip


NOTHING = {"list": MISSING, "worst": Verdict.MISSING, "overruled": False, "page": Verdict.MISSING, "settled": 0,
           "reasons": 1, "report": {}, "seal": 0}  # fmt: skip


def part(told: dict[str, Any], of: dict[str, Any] = NOTHING) -> dict[str, Any]:
    return {key: told[key] for key in of}


def test_off_it_counts_at_once(specimen: Specimen, decider: User) -> None:
    one = decided(specimen, decider)
    told = what_all_read(specimen)
    assert one.counts and told["list"] == COVERED and told["overruled"] and told["waits"] == 0 and told["seal"] == 0


def test_it_changes_nothing_until_another_person_agrees(
    specimen: Specimen, decider: User, reviewer: User
) -> None:  # fmt: skip
    """Lists, page, reasons, reports, permits told to the outside, the check of the seal; also after the rows of the
    lists are filled anew, as every assessment does."""
    asked_for(reviewer)
    before = what_all_read(specimen)
    one = decided(specimen, decider)
    fill_columns("SELECT id FROM material_specimen")
    waiting = what_all_read(specimen)
    assert one.waits and part(waiting) == NOTHING and waiting["terms"] == before["terms"] and waiting["waits"] == 1
    agree(override=one, note=NOTE, by=reviewer)
    told = what_all_read(specimen)
    assert (told["list"], told["page"], told["overruled"]) == (COVERED, Verdict.COVERED, True)
    assert told["waits"] == 0 and told["reasons"] == 0 and told["seal"] == 0 and told["report"][specimen.pk]
    entry = Override.history.latest()  # type: ignore[attr-defined]
    assert (entry.history_user, entry.history_change_reason, entry.review_note) == (reviewer, NOTE, NOTE)


def test_refused_it_is_withdrawn(specimen: Specimen, decider: User, reviewer: User) -> None:
    asked_for(reviewer)
    one = decided(specimen, decider)
    refuse(override=one, reason="The letter is about another river.", by=reviewer)
    one.refresh_from_db()
    assert one.withdrawn_by == reviewer and part(what_all_read(specimen)) == NOTHING
    with pytest.raises(OverrideError, match="does not wait"):
        agree(override=one, note=NOTE, by=reviewer)
    decided(specimen, decider)  # the way is free for another one


def test_who_decided_does_not_agree(specimen: Specimen, decider: User, reviewer: User) -> None:
    """Neither by the action, nor past it; nor a role that reviews nothing."""
    asked_for(reviewer)
    one = decided(specimen, decider)
    for answer in (lambda: agree(override=one, note=NOTE, by=decider),
                   lambda: refuse(override=one, reason=NOTE, by=decider)):  # fmt: skip
        with pytest.raises(OverrideError, match="yourself"):
            answer()
    with pytest.raises(NotAllowedError):
        agree(override=one, note=NOTE, by=register.person(Role.CURATOR))
    with pytest.raises(IntegrityError), transaction.atomic():
        Override.objects.update(reviewed_by=decider, reviewed_at=one.decided_at, review_note=NOTE)
    with pytest.raises(OverrideError, match="Write at least a sentence"):
        agree(override=one, note="ok", by=reviewer)
    withdraw(override=one, reason="I found another letter.", by=decider)  # but may take it back


def test_the_rule_of_its_day_counts(specimen: Specimen, decider: User, reviewer: User) -> None:
    """Switched off, what waits goes on to wait; switched on, what counts goes on to count."""
    asked_for(reviewer)
    one = decided(specimen, decider)
    asked_for(reviewer, yes=False)
    fill_columns("SELECT id FROM material_specimen")
    assert part(what_all_read(specimen)) == NOTHING and one.waits
    other = register.specimen("LMN-2")
    judged(other, MISSING)
    decided(other, decider)
    asked_for(reviewer)
    fill_columns("SELECT id FROM material_specimen")
    assert strip_of(Standing.objects.get(pk=other.pk).cells) == COVERED


class TestPages:
    def test_today_names_it_to_others(self, client: Client, specimen: Specimen, decider: User, reviewer: User) -> None:
        asked_for(reviewer)
        one = decided(specimen, decider)
        address, today = reverse("verdicts:override-review", args=[one.pk]), reverse("verdicts:today")
        for user, is_named in ((decider, False), (reviewer, True), (register.person(Role.CURATOR), False)):
            client.force_login(user)
            assert (address in client.get(today).content.decode()) is is_named
            page = client.get(reverse("verdicts:specimen", args=[specimen.pk])).content.decode()
            assert "waits for a second person" in page and (address in page) is is_named

    def test_agreeing_by_page(self, client: Client, specimen: Specimen, decider: User, reviewer: User) -> None:
        asked_for(reviewer)
        one = decided(specimen, decider)
        address = reverse("verdicts:override-review", args=[one.pk])
        client.force_login(decider)
        own = client.get(address).content.decode()
        assert "You made this decision yourself." in own and "Save the answer" not in own
        client.force_login(reviewer)
        assert client.post(address, {"answer": "agree", "words": "ok"}).status_code == 422
        assert client.post(address, {"answer": "agree", "words": NOTE}).status_code == 302
        one.refresh_from_db()
        assert one.counts and "agreed on" in client.get(address).content.decode()
        assert client.post(address, {"answer": "refuse", "words": NOTE}).status_code == 422
