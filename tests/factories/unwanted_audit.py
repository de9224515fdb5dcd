"""Rows that the database refuses, of the audit and of the seal: by the constraint that is broken."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

from django.db import models
from django.utils import timezone

from accessions.people.models import Agent, PersonalSalt, SealHead, SealShape, User
from governance.audit.models import (
    Disposal,
    EvidenceBundle,
    Follower,
    KeepingRule,
    KeptHead,
    Minimisation,
    Opening,
    QualityCount,
    QualityNote,
    SavedQuestion,
    UtilisationEnd,
)
from governance.papers.models import Paper
from tests.factories import register

Row = Callable[[], models.Model]
ENDED = date(2026, 6, 17)


def _paper() -> Paper:
    return Paper.objects.first() or register.paper()


def _somebody() -> User:
    return User.objects.first() or register.person()


def _again(make: Row) -> Row:
    """The second of two equal rows."""

    def second() -> models.Model:
        make().save()
        return make()

    return second


def _question(**fields: Any) -> Row:
    told = {"title": "Loans that are late", "ready": "loans-overdue"} | fields
    return lambda: SavedQuestion(owner=_somebody(), saved_by=_somebody(), **told)


def _kept_question() -> SavedQuestion:
    found = SavedQuestion.objects.first()
    if found is None:
        found = SavedQuestion.objects.create(title="Kept", owner=_somebody(), saved_by=_somebody())
    return found


def _follower() -> Follower:
    return Follower(question=_kept_question(), user=_somebody())


def _keeping(**fields: Any) -> Row:
    return lambda: KeepingRule(**{"kind": "abs", "years": 20, "source": "House policy", **fields})


def _end(**fields: Any) -> Row:
    told = {"ended_on": ENDED, "evidence": "Project closed; letter of the institute."} | fields
    return lambda: UtilisationEnd(paper=_paper(), recorded_by=_somebody(), **told)


def _head(**fields: Any) -> Row:
    told = {"number": 12, "sha256": "a" * 64, "where": "Ledger of the registrar, p. 212"} | fields
    return lambda: KeptHead(kept_by=_somebody(), **told)


def _note(**fields: Any) -> Row:
    told = {"question": "quality-without-date", "row": "event:1", "digest": "a" * 64, "why": "As the field book says."}
    return lambda: QualityNote(noted_by=_somebody(), **told | fields)


def _counted() -> QualityCount:
    return QualityCount(question="quality-without-date", on=ENDED, count=1)


def _salt() -> PersonalSalt:
    shape = SealShape.objects.first() or SealShape.objects.create(table="people_agent", key="id", columns=[])
    return PersonalSalt(shape=shape, row=1, column="name", salt=bytes(16), sha256=bytes(32))


def _minimisation() -> Minimisation:
    agent = Agent.objects.create(name="Somebody")
    return Minimisation(agent=agent, rule="As kept", why="", minimised_by=_somebody())


REFUSED: dict[str, Row] = {
    "evidencebundle_state_known": lambda: EvidenceBundle(
        of="country:GE", title="Material from Georgia", sign_at=timezone.now(), asked_by=_somebody(), state="lost"
    ),
    "savedquestion_titled": _question(title=""),
    "savedquestion_schedule_known": _question(schedule="hourly"),
    "savedquestion_title_once": _again(_question()),
    "savedquestion_removal_whole": _question(removed_at=timezone.now()),
    "follower_once": _again(_follower),
    "opening_of_something": lambda: Opening(opened_by=_somebody(), place="papers:paper"),
    "keepingrule_kind_known": _keeping(kind="mail"),
    "keepingrule_sourced": _keeping(source=""),
    "keepingrule_title_for_ever": _keeping(kind="title", years=20),
    "utilisationend_evidenced": _end(evidence=""),
    "utilisationend_one_stands": _again(_end()),
    "utilisationend_withdrawal_whole": _end(withdrawn_at=timezone.now()),
    "disposal_reasoned": lambda: Disposal(
        paper=_paper(), rule="20 years", due_on=ENDED, why="", disposed_by=_somebody()
    ),
    "minimisation_reasoned": _minimisation,
    "kepthead_somewhere": _head(where=""),
    "kepthead_number_positive": _head(number=0),
    "kepthead_hash_form": _head(sha256="A" * 64),
    "qualitynote_reasoned": _note(why=""),
    "qualitynote_digest_form": _note(digest="A" * 64),
    "qualitynote_withdrawal_whole": _note(withdrawn_at=timezone.now()),
    "qualitynote_one_stands": _again(_note()),
    "qualitycount_once_a_day": _again(_counted),
    "sealhead_one_row": lambda: SealHead(id=2),
    "personalsalt_once": _again(_salt),
}

HALF_MISSING: list[tuple[str, Row]] = [
    ("utilisationend_withdrawal_whole", lambda: _end(withdrawn_by=_somebody())()),
    ("kepthead_hash_form", _head(sha256="a" * 63)),
    ("qualitynote_withdrawal_whole", lambda: _note(withdrawn_by=_somebody())()),
]
"""The other halves of constraints that hold two columns together."""
