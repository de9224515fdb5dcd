"""Codes that a reader typed, taken into the basket of a request: each counts once, and none is lost.

A line is known by the key that the page gave it. A page that does not know whether its lines arrived sends them again;
what is known is answered as it was answered before.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from accessions.people.access import Verb, check
from accessions.people.history import remove
from governance.usedesk.actions.basket import put_in
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.actions.locking import held
from governance.usedesk.models import RequestItem, ScanLine, UseRequest
from governance.usedesk.queries.basket import in_basket, lines_by_key
from governance.usedesk.queries.codes import Code, read_code
from governance.usedesk.queries.resolving import Keys, specimens_of

Outcome = ScanLine.Outcome
OPEN_OUTCOMES = (Outcome.UNKNOWN, Outcome.SEVERAL)
"""Lines that still want a person."""

_LINES_AT_ONCE = 1_000


@dataclass(frozen=True)
class Read:
    """One code that was read. key: random, made by the page, at most 64 characters."""

    key: str
    code: Code


def scan_codes(*, request: UseRequest, reads: Sequence[Read], by: Any, why: str = "") -> list[ScanLine]:
    """Take codes into the basket; the line of each, in the same order. Lines that are known already are not made again.

    Raises:
        DeskError: the request is answered or closed, and some line is new.
    """
    check(by, Verb.TAKE_REQUESTS)
    keys = [read.key for read in reads]
    with transaction.atomic():
        try:
            current = held(request)
        except DeskError:
            known = lines_by_key(request, keys)
            if set(known) != set(keys):
                raise
        else:
            known = lines_by_key(current, keys)
            new = {read.key: read.code for read in reads if read.key not in known}
            known |= _write(current, new, by, why or gettext_noop("scanned"))
    return [known[key] for key in keys]


def _write(request: UseRequest, codes: Mapping[str, Code], by: Any, why: str) -> dict[str, ScanLine]:
    """New lines by their keys, and what they add to the basket."""
    if not codes:
        return {}
    found = specimens_of(list(codes.values()))
    inside = in_basket(request, {keys[0] for keys in found if len(keys) == 1})
    lines: list[ScanLine] = []
    new: list[int] = []
    for (key, code), keys in zip(codes.items(), found, strict=True):
        line = ScanLine(request=request, key=key, code=code.shown, read_by=by)
        _settle(line, keys, inside, new)
        lines.append(line)
    put_in(request, new, by=by, why=why)
    made = ScanLine.objects.bulk_create(lines, batch_size=_LINES_AT_ONCE)
    return {line.key: line for line in made}


def _settle(line: ScanLine, keys: Keys, inside: set[int], new: list[int]) -> None:
    """Say what comes of a line. inside: specimens in the basket, new: those that are to be put in; both grow."""
    if len(keys) != 1:
        line.outcome = Outcome.SEVERAL if keys else Outcome.UNKNOWN
        return
    line.specimen_id = keys[0]
    line.outcome = Outcome.ALREADY_IN if keys[0] in inside else Outcome.ADDED
    if keys[0] not in inside:
        inside.add(keys[0])
        new.append(keys[0])


def take_out_again(*, request: UseRequest, key: str, by: Any, why: str = "") -> ScanLine:
    """Undo one line: what it added leaves the basket; what it did not add stays. Undone twice, it is undone once.

    Raises:
        DeskError: there is no such line, its specimen is decided, or the request is answered or closed.
    """
    check(by, Verb.TAKE_REQUESTS)
    with transaction.atomic():
        current = held(request)
        line = _line(current, key)
        if line.outcome == Outcome.ADDED:
            _take_out(current, line, by, why or gettext_noop("taken out again while scanning"))
        if line.outcome != Outcome.TAKEN_OUT:
            line.outcome = Outcome.TAKEN_OUT
            line.save(update_fields=["outcome"])
    return line


def _take_out(request: UseRequest, line: ScanLine, by: Any, why: str) -> None:
    item = RequestItem.objects.filter(request=request, specimen=line.specimen_id).first()
    if item is None:
        return
    if item.decision_id is not None:
        raise DeskError(
            _("%(code)s is decided and stays. Withdraw the decision first, then remove it.") % {"code": line.code}
        )
    remove(item, by=by, why=why)


def choose(*, request: UseRequest, key: str, specimen: int, house: str = "", by: Any, why: str = "") -> ScanLine:
    """Say which of several specimens a code meant.

    Raises:
        DeskError: there is no such line, the specimen does not bear this code, or the request is answered or closed.
    """
    check(by, Verb.TAKE_REQUESTS)
    with transaction.atomic():
        current = held(request)
        line = _line(current, key)
        if line.outcome != Outcome.SEVERAL:
            return line
        if specimen not in specimens_of([read_code(line.code, house)])[0]:
            raise DeskError(_("The specimen that was chosen does not bear the code %(code)s.") % {"code": line.code})
        _settle_again(current, {line: (specimen,)}, by, why or gettext_noop("chosen of several with this number"))
    return line


def look_again(*, request: UseRequest, house: str = "", by: Any, why: str = "") -> int:
    """Look all codes up once more that were not known or were several; how many are known now.

    Raises:
        DeskError: the request is answered or closed.
    """
    check(by, Verb.TAKE_REQUESTS)
    with transaction.atomic():
        current = held(request)
        lines = list(ScanLine.objects.filter(request=current, outcome__in=OPEN_OUTCOMES).order_by("pk"))
        found = specimens_of([read_code(line.code, house) for line in lines])
        _settle_again(current, dict(zip(lines, found, strict=True)), by, why or gettext_noop("scanned"))
    return sum(line.specimen_id is not None for line in lines)


def _settle_again(request: UseRequest, found: Mapping[ScanLine, Keys], by: Any, why: str) -> None:
    inside = in_basket(request, {keys[0] for keys in found.values() if len(keys) == 1})
    new: list[int] = []
    for line, keys in found.items():
        _settle(line, keys, inside, new)
    put_in(request, new, by=by, why=why)
    ScanLine.objects.bulk_update(found, ["outcome", "specimen"], batch_size=_LINES_AT_ONCE)


def _line(request: UseRequest, key: str) -> ScanLine:
    line = ScanLine.objects.filter(request=request, key=key).first()
    if line is None:
        raise DeskError(_("This line is not known here. Load the page again."))
    return line
