"""People who are not named on any paper of a stop."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.people.wording import in_a_list
from accessions.values import split_list
from governance.engine.answers import YES
from governance.engine.people import NamedPeople
from governance.plans.advice.saying import STOPS, Deed, Draft, papers_words
from governance.plans.advice.trials import Case, Choice, Proposal, are_covered, trial
from governance.plans.judging import Answer

_CODES = ("person", "person-mixed", "person-maybe", "person-missing")
_SEPARATOR = " | "


def advice_on_people(case: Case) -> Iterator[Choice]:
    """The stop without those who are not named; else with somebody who is."""
    if not case.fails_only_by(_CODES):
        return
    people = tuple(split_list(case.row.people))
    yield [
        *(_without(case, people, kept) for kept in _kept(case, people)),
        *(_with(case, people, named) for named in _named(case)),
    ]


def _kept(case: Case, people: Sequence[str]) -> list[tuple[str, ...]]:
    """Who might stay: those whom a version names; the most people first."""
    groups = set()
    for paper, version in case.papers.versions(case.answer):
        named = NamedPeople.of(version, paper.holder)
        groups.add(tuple(name for name in people if named.standing(name) == YES))
    return sorted((group for group in groups if 0 < len(group) < len(people)), key=lambda group: (-len(group), group))


def _named(case: Case) -> list[str]:
    """One person a version names, for a trial."""
    names = [version.people[0] for _paper, version in case.papers.versions(case.answer) if version.people]
    return list(dict.fromkeys(names))


def _without(case: Case, people: Sequence[str], kept: Sequence[str]) -> Proposal:
    left = [name for name in people if name not in kept]
    row = trial(case.row, people=_SEPARATOR.join(kept))
    return Proposal((row,), case.layer, partial(_say_without, case, left))


def _say_without(case: Case, left: Sequence[str], answers: Sequence[Answer]) -> Draft | None:
    if not are_covered(answers):
        return None
    told = {"people": in_a_list(left), "stops": STOPS, "papers": papers_words(answers[0].papers)}
    words = (
        ngettext(
            "Without %(people)s, whom %(papers)s does not name for certain, %(stops)s would be covered. Adding a "
            "person usually needs an amendment of %(papers)s.",
            "Without %(people)s, whom %(papers)s does not name for certain, %(stops)s would be covered. Adding "
            "people usually needs an amendment of %(papers)s.",
            len(left),
        )
        % told
    )
    return case.draft("person", words, answers, deed=Deed("stop", case.row.stop))


def _with(case: Case, people: Sequence[str], named: str) -> Proposal:
    """If somebody who is named collects alone."""
    return Proposal((trial(case.row, people=named),), case.layer, partial(_say_with, case, bool(people)))


def _say_with(case: Case, has_people: bool, answers: Sequence[Answer]) -> Draft | None:
    if not are_covered(answers):
        return None
    told = {"stops": STOPS, "papers": papers_words(answers[0].papers)}
    if has_people:
        words = (
            _(
                "Nobody who is to collect at %(stops)s is named on %(papers)s for certain; if only people whom it "
                "names collect, it would be covered. Adding a person usually needs an amendment."
            )
            % told
        )
    else:
        words = (
            _("Say who is to collect at %(stops)s: %(papers)s names people, and would cover the stop if they collect.")
            % told
        )
    return case.draft("person-nobody", words, answers, deed=Deed("stop", case.row.stop))
