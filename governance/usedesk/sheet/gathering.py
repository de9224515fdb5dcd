"""The contents of a sheet, from the approved specimens of a request or from a use that was made."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.utils import timezone

from governance.engine.tables import NONE
from governance.engine.uses import MAY_GO, Answer, Use
from governance.usedesk.deeds import FOR_GOOD, LOANS
from governance.usedesk.models import DeskRules, MadeUse, Recipient, RequestItem, UseItem, UseRequest
from governance.usedesk.queries.answering import Facts, answers_for
from governance.usedesk.queries.covering import asking, covers
from governance.usedesk.queries.groups import DeskAnswer
from governance.usedesk.queries.judging import Told, facts_of
from governance.usedesk.sheet.bearing_terms import Key, TermsReader, bound_by
from governance.usedesk.sheet.contents import Party, Sheet, TermsGroup, letters
from governance.usedesk.sheet.listed_specimens import listed_specimens, numbers_of
from governance.usedesk.sheet.way_papers import way_papers

LOAN_USES = frozenset({Use.LOAN_AT_HOME, Use.LOAN_ABROAD, Use.ONWARD_LOAN, Use.EXHIBITION})
KEPT_USES = frozenset({Use.RETENTION, Use.GIFT_OR_EXCHANGE, Use.RETURN_TO_PROVIDER, Use.DISPOSAL})


@dataclass(frozen=True)
class Item:
    """An approved specimen. answer: of the desk when it was approved. reasons: what decided then, as it was kept."""

    specimen: int
    answer: int | None
    reasons: Sequence[Mapping[str, Any]]
    decision: int | None


def sheet_of_request(request: UseRequest, reader: Any) -> Sheet:
    """The sheet of what was approved, as a person may make it.

    A specimen whose answer is stricter now than when it was approved stays off it: a paper came to light since, and
    somebody decides again.
    """
    rows = _approved(RequestItem.objects.filter(request=request), "decision__answer", "decision__reasons")
    items = [Item(*row) for row in rows]
    desk = _desk(items, Facts.of(request))
    held = {item.specimen for item in items if desk is not None and _is_stricter_now(item, desk)}
    every = RequestItem.objects.filter(request=request).count()
    return _filled(_of_request(request), items, desk, request, reader, held, waiting=every - len(items))


def sheet_of_use(made: MadeUse, reader: Any) -> Sheet:
    """The sheet of a loan or another use: its specimens that were approved, or that the terms of its day let go."""
    rows = UseItem.objects.filter(use=made).values_list(
        "specimen", "answer", "reasons", "decision", "decision__is_approved", "decision__withdrawn_at"
    )
    items = [
        Item(specimen, answer, reasons, decision)
        for specimen, answer, reasons, decision, approved, withdrawn in rows
        if made.voided_at is None and ((approved and withdrawn is None) or (answer is not None and answer in MAY_GO))
    ]
    desk = _desk(items, _facts_of_use(made)) if made.use is not None else None
    held = {item.specimen for item in items if desk is not None and _is_forbidden_now(item, desk)}
    return _filled(_of_use(made), items, desk, made.request, reader, held, waiting=len(rows) - len(items))


def _is_stricter_now(item: Item, desk: DeskAnswer) -> bool:
    """Or what asks first now is not what asked when somebody decided."""
    case = desk.case_of(item.specimen)
    if item.answer is None or case.answer > item.answer:
        return True
    return case.answer == Answer.ASK_FIRST and not covers(item.answer, item.reasons, asking(case, desk))


def _is_forbidden_now(item: Item, desk: DeskAnswer) -> bool:
    return desk.case_of(item.specimen).answer == Answer.NOT_ALLOWED


def _approved(rows: Any, *columns: str) -> Iterable[tuple[Any, ...]]:
    standing = rows.filter(decision__is_approved=True, decision__withdrawn_at__isnull=True).order_by("pk")
    found: Iterable[tuple[Any, ...]] = standing.values_list("specimen", *columns, "decision")
    return found


def _desk(items: Sequence[Item], facts: Facts) -> DeskAnswer | None:
    return answers_for([item.specimen for item in items], facts) if items else None


def _facts_of_use(made: MadeUse) -> Facts:
    """By the terms of the day on which it was made; of a request, all that was asked and approved there."""
    use = None if made.use is None else Use(made.use)
    told = (made.commercial, made.identification_only, made.parts)
    facts = facts_of(Told(made.deed, made.on, use, made.recipient, made.request, *told))
    return replace(facts, uses=_uses_of(made) or facts.uses)


def _uses_of(made: MadeUse) -> tuple[Use, ...]:
    if made.request is not None and made.use is not None and made.request.uses >> made.use & 1:
        return tuple(made.request.use_list)
    return () if made.use is None else (Use(made.use),)


def _of_request(request: UseRequest) -> Sheet:
    uses = tuple(request.use_list)
    return Sheet(
        number=request.reference, title=request.title, made_on=timezone.localdate(), sender=_sender(),
        recipient=_party(request.recipient), asked_by=request.asked_by, purpose=request.purpose,
        commercial=request.commercial, uses=uses, from_on=request.starts_on, until_on=request.ends_on,
        is_loan=not LOAN_USES.isdisjoint(uses), is_kept=not KEPT_USES.isdisjoint(uses),
    )  # fmt: skip


def _of_use(made: MadeUse) -> Sheet:
    request, uses = made.request, _uses_of(made)
    return Sheet(
        number=str(made), title=made.title or (request.title if request else str(made.get_deed_display())),
        made_on=timezone.localdate(), sender=_sender(), recipient=_party(made.recipient),
        asked_by=request.asked_by if request else "", purpose=request.purpose if request else "",
        commercial=request.commercial if request else "", uses=uses, from_on=made.on,
        until_on=made.due_on or made.until_on, is_loan=made.deed in LOANS,
        is_kept=made.deed in FOR_GOOD or not KEPT_USES.isdisjoint(uses), is_of_use=True,
    )  # fmt: skip


def _sender() -> Party:
    rules = DeskRules.objects.filter(pk=1).first() or DeskRules()
    return Party(rules.institution, rules.address, "", rules.country, rules.cites_code)


def _party(recipient: Recipient | None) -> Party | None:
    if recipient is None:
        return None
    return Party(recipient.name, recipient.address, recipient.contact, recipient.country, recipient.cites_code)


def _filled(
    sheet: Sheet, items: Sequence[Item], desk: DeskAnswer | None, request: UseRequest | None, reader: Any,
    held: Collection[int], waiting: int,
) -> Sheet:  # fmt: skip
    """With groups, list, and the papers of the way there. held: specimens that stay off."""
    keys = {item.specimen: _papers_of(item, desk) for item in items if item.specimen not in held}
    sizes = Counter(keys.values())
    order = sorted(sizes, key=lambda key: (-sizes[key], sorted((paper, version or 0) for paper, version in key)))
    terms = TermsReader(frozenset().union(*sizes), desk, request, reader)
    letter_of = {key: letters(number) for number, key in enumerate(order)}
    groups = tuple(TermsGroup(letter_of[key], sizes[key], terms.papers(key)) for key in order)
    specimens = listed_specimens({pk: letter_of[key] for pk, key in keys.items()})
    return replace(
        sheet, groups=groups, specimens=specimens, way=way_papers(request), held_back=numbers_of(held), waiting=waiting
    )


def _papers_of(item: Item, desk: DeskAnswer | None) -> Key:
    """Papers that bear, with the versions that bind: of the day, and the one that was named when it was decided.

    A decision is of many specimens, and what it names need not bear on each; so what bears decides.
    """
    named = {(reason["paper"], reason.get("version")) for reason in item.reasons if reason.get("paper")}
    if desk is None:
        return frozenset(named)
    bearing = {bound_by(finding, desk) for finding in desk.case_of(item.specimen).findings if finding.paper != NONE}
    papers = {paper for paper, _version in bearing}
    found = bearing | {(paper, version) for paper, version in named if paper in papers}
    with_version = {paper for paper, version in found if version is not None}
    return frozenset((paper, version) for paper, version in found if version is not None or paper not in with_version)
