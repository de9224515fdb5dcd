"""Ways of taking and groups that a paper does not allow: whether the stop is covered without them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

from django.utils.translation import gettext as _

from governance.engine.tables import fold
from governance.plans.advice.saying import STOPS, Deed, Draft, papers_words
from governance.plans.advice.trials import Case, Choice, Proposal, are_covered, trial
from governance.plans.judging import Answer
from governance.plans.planned_rows import PlannedRow

_MOST_TRIED = 4
_METHOD = ("method", "method-mixed", "method-missing")
_TAXON = (
    "taxon-ambiguous", "taxon-excluded", "taxon-broad", "taxon-unresolved", "taxon-not-included", "taxon-qualified"
)  # fmt: skip


def advice_on_methods(case: Case) -> Iterator[Choice]:
    """The stop without this way of taking; else with one that a paper allows."""
    if not case.fails_only_by(_METHOD):
        return
    others = [row for row in case.beside if row.target == case.row.target and fold(row.method) != fold(case.row.method)]
    words = {word for _paper, version in case.papers.versions(case.answer) for word in version.methods.include}
    yield [
        *(Proposal((trial(row),), case.layer, partial(_without_method, case, row.method)) for row in others),
        *(
            Proposal((trial(case.row, method=word),), case.layer, partial(_other_method, case))
            for word in sorted(words)[:_MOST_TRIED]
        ),
    ]


def _without_method(case: Case, other: str, answers: Sequence[Answer]) -> Draft | None:
    if not are_covered(answers):
        return None
    words = _(
        "Without the %(method)s, %(stops)s would be covered (%(papers)s), with the %(other)s alone. Ask whether the "
        "%(method)s can be added, or leave it at home."
    ) % {"method": case.row.method, "other": other, "stops": STOPS, "papers": papers_words(answers[0].papers)}
    return case.draft("method", words, answers, deed=Deed("stop", case.row.stop))


def _other_method(case: Case, answers: Sequence[Answer]) -> Draft | None:
    if not are_covered(answers):
        return None
    told = {"method": case.row.method, "stops": STOPS, "papers": papers_words(answers[0].papers)}
    if case.row.method:
        words = (
            _(
                "Only the %(method)s stands against %(stops)s: with another way of taking, which %(papers)s allows, it "
                "would be covered."
            )
            % told
        )
    else:
        words = _("Say how will be collected at %(stops)s: %(papers)s allows some ways only.") % told
    return case.draft("method", words, answers, deed=Deed("stop", case.row.stop))


def advice_on_groups(case: Case) -> Iterator[Choice]:
    """The stop without this group; else with one that a paper speaks of."""
    if not case.fails_only_by(_TAXON):
        return
    others = [
        row
        for row in case.beside
        if row.target != case.row.target and (row.method, row.trap) == (case.row.method, case.row.trap)
    ]
    listed = [taxon for _paper, version in case.papers.versions(case.answer) for taxon in version.include_taxa]
    named = dict.fromkeys((taxon.text or taxon.name, taxon.kingdom) for taxon in listed)
    yield [
        *(Proposal((trial(row),), case.layer, partial(_without_group, case)) for row in others),
        *(
            Proposal((_of_name(case.row, name, kingdom),), case.layer, partial(_other_group, case))
            for name, kingdom in list(named)[:_MOST_TRIED]
        ),
    ]


def _of_name(row: PlannedRow, name: str, kingdom: str) -> PlannedRow:
    """A trial of another group: what was said of the place of the old one is not true of it."""
    return trial(row, name=name, kingdom=kingdom, rank="", higher="")


def _without_group(case: Case, answers: Sequence[Answer]) -> Draft | None:
    if not are_covered(answers):
        return None
    words = _(
        "Without %(group)s, %(stops)s would be covered (%(papers)s), for %(other)s. Ask whether it can be added, or "
        "leave it out."
    ) % {
        "group": _name(case.row.name), "stops": STOPS, "papers": papers_words(answers[0].papers),
        "other": _name(answers[0].row.name),
    }  # fmt: skip
    return case.draft("group", words, answers, deed=Deed("stop", case.row.stop))


def _other_group(case: Case, answers: Sequence[Answer]) -> Draft | None:
    if not are_covered(answers):
        return None
    words = _(
        "Only the group (%(group)s) stands against %(stops)s: %(papers)s speaks of certain groups, and would cover the "
        "stop for them. A closer name may settle it."
    ) % {"group": _name(case.row.name), "stops": STOPS, "papers": papers_words(answers[0].papers)}
    return case.draft("group", words, answers, deed=Deed("stop", case.row.stop))


def _name(name: str) -> str:
    return name or _("what is not named")
