"""Uses and movements within the period, what was done with which specimen, and what came of it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any, Final, NamedTuple

from governance.engine.uses import Answer
from governance.reports.composing.codes import NO, NOT_TOLD, YES
from governance.reports.composing.disclosing import Disclosing
from governance.reports.composing.material import Material
from governance.reports.composing.scope import Scope, iso
from governance.reports.composing.whereabouts import Whereabouts
from governance.reports.contents import Row
from governance.usedesk.deeds import CITED, FOR_GOOD, LOANS, Deed
from governance.usedesk.models import MadeUse, Remedy, Sequence
from governance.usedesk.queries.material import among

MOVES: Final = (LOANS | FOR_GOOD) - {Deed.DISPOSAL}
"""Deeds by which material goes to somebody."""

LOSES: Final = frozenset({Deed.LOSS, Deed.DISPOSAL})
"""Deeds that are told among losses alone."""


class Item(NamedTuple):
    """A specimen of an entry. answer: of the desk, None where it gave none."""

    pk: int
    use: int
    specimen: int
    amount: str
    product: int | None
    product_number: str | None
    is_used_up: bool
    is_outside: bool
    answer: int | None
    returned: int | None
    returned_on: date | None


_COLUMNS: Final = (
    "pk", "use_id", "specimen_id", "amount", "product_id", "product__catalog_number", "is_used_up", "is_outside",
    "answer", "returned_id", "returned__on",
)  # fmt: skip


@dataclass
class Uses:
    """Entries that stand. items: of this material alone, whenever the entry was made; by_use: in the period."""

    scope: Scope
    material: Material
    entries: dict[int, Any]
    items: list[Item]
    whereabouts: Whereabouts

    @cached_property
    def by_use(self) -> dict[int, list[Item]]:
        """By entry of the period, in order of time, its items in the order of the material. What was begun before and
        lasts into the period belongs to it, such as a loan of which something is still out."""
        place = {row.pk: number for number, row in enumerate(self.material.rows)}
        found: dict[int, list[Item]] = {key: [] for key in self.entries}
        for item in self.items:
            if item.specimen in place and item.use in found:  # what came in since the material was read is not in
                found[item.use].append(item)
        return {
            key: sorted(items, key=lambda item: place[item.specimen]) for key, items in found.items()
            if items and self.scope.period.meets(self.entries[key].on, self._until(self.entries[key], items))
        }  # fmt: skip

    def _until(self, made: Any, items: Iterable[Item]) -> date | None:
        """The last day of an entry: of a loan, on which the last of it came back, was kept, given away or lost; None:
        some of it is out."""
        if made.deed not in LOANS:
            last: date = made.until_on or made.on
            return last
        days = [self._ended_on(made, item) for item in items]
        known = [day for day in days if day is not None]
        return max([made.on, *known]) if len(known) == len(days) else None

    def _ended_on(self, loan: Any, item: Item) -> date | None:
        days = (item.returned_on, self._back_on.get((loan.parent_id, item.specimen)), self._left_on.get(item.specimen))
        return min((day for day in days if day is not None and day >= loan.on), default=None)

    @cached_property
    def _back_on(self) -> dict[tuple[int | None, int], date]:
        """By entry and specimen, when it came back by that entry."""
        return {(item.use, item.specimen): item.returned_on for item in self.items if item.returned_on is not None}

    @cached_property
    def _left_on(self) -> dict[int, date]:
        """By specimen, when it was here no longer, and neither is anything out of it: the last day that is told."""
        days: dict[int, date] = {}
        for item in self.items:
            made = self.entries[item.use]
            if made.deed in FOR_GOOD or item.is_used_up:
                days[item.specimen] = max(made.on, days.get(item.specimen, made.on))
        return days

    @cached_property
    def _came_back(self) -> frozenset[tuple[int, int]]:
        return frozenset((item.use, item.specimen) for item in self.items if item.returned is not None)

    def is_back(self, item: Item) -> bool:
        """Whether it came back: by the entry itself, or home from the loan from which it was lent on."""
        parent = self.entries[item.use].parent_id
        is_lent_on = self.entries[item.use].deed == Deed.ONWARD_LOAN
        return item.returned is not None or (is_lent_on and (parent, item.specimen) in self._came_back)

    def of(self, deeds: Iterable[str]) -> Iterator[tuple[Any, list[Item]]]:
        """Entries of the period by what was done, with their items."""
        wanted = set(deeds)
        return ((self.entries[key], items) for key, items in self.by_use.items() if self.entries[key].deed in wanted)

    def number(self, item: Item) -> tuple[str, str]:
        """Specimen and accession of an item."""
        return self.material.numbers[item.specimen], self.accession_of[item.specimen]

    @cached_property
    def accession_of(self) -> dict[int, str]:
        return {row.pk: self.material.accessions[row.accession] for row in self.material.rows}

    @cached_property
    def name_of(self) -> dict[int, str]:
        return {row.pk: self.material.names[row.name].shown for row in self.material.rows}


def read(scope: Scope, material: Material, whereabouts: Whereabouts) -> Uses:
    """Two queries; entries that were voided are left out."""
    rows = scope.items().filter(use__voided_at__isnull=True).order_by("use", "pk")
    items = [Item._make(row) for row in rows.values_list(*_COLUMNS)]
    keys = {item.use for item in items}
    entries = MadeUse.objects.filter(among("pk", keys)).select_related("recipient", "request").order_by("on", "pk")
    scope.tell("uses", len(items), len(items))
    return Uses(scope, material, {one.pk: one for one in entries}, items, whereabouts)


def movements(uses: Uses, disclosing: Disclosing) -> list[Row]:
    """A row an entry by which material went to somebody; out and back as it stands today."""
    found: list[Row] = []
    for made, items in uses.of(MOVES):
        is_loan = made.deed in LOANS
        back = sum(1 for item in items if uses.is_back(item)) if is_loan else None
        out = sum(1 for item in items if (item.use, item.specimen) in uses.whereabouts.out) if is_loan else None
        found.append((
            str(made), made.deed, made.on.isoformat(), iso(made.due_on),
            *_whom(made, disclosing), len(items), back, out, _request(made), _answer(items), _outside(items),
        ))  # fmt: skip
    return found


def uses_of(uses: Uses, disclosing: Disclosing) -> list[Row]:
    """A row an entry by which something was done with material."""
    done = [deed for deed in Deed if deed not in MOVES | LOSES]
    return [
        (
            str(made), made.deed, made.on.isoformat(), disclosing.masked(made.title),
            *_whom(made, disclosing), len(items), _request(made), _commercial(made), _answer(items), _outside(items),
        )
        for made, items in uses.of(done)
    ]  # fmt: skip


def used(uses: Uses, disclosing: Disclosing, *, moved: bool, done: bool) -> list[Row]:
    """A row a specimen of each entry, of movements or of uses or of both."""
    deeds = (MOVES if moved else frozenset()) | (frozenset(Deed) - MOVES - LOSES if done else frozenset())
    return [
        (
            str(made), made.deed, made.on.isoformat(), *uses.number(item), disclosing.masked(item.amount),
            item.product_number or (f"#{item.product}" if item.product else ""), YES if item.is_used_up else NO,
            YES if item.is_outside else NO,
        )
        for made, items in uses.of(deeds)
        for item in items
    ]  # fmt: skip


def sequences(uses: Uses, disclosing: Disclosing) -> list[Row]:
    """A row a sequence in the public archives: one query."""
    items = {item.pk: item for of in uses.by_use.values() for item in of}
    rows = Sequence.objects.filter(among("item", items)).order_by("item__use__on", "item", "accession_number")
    found: list[Row] = []
    for number, marker, key in rows.values_list("accession_number", "marker", "item"):
        item = items[key]
        made = uses.entries[item.use]
        found.append((
            number, marker, *uses.number(item), uses.name_of[item.specimen], str(made), made.on.isoformat(),
            _whom(made, disclosing)[0],
        ))  # fmt: skip
    return found


def publications(uses: Uses, masked: Callable[[str], str | None]) -> list[Row]:
    """A row a publication or set of data. specimens: of this material that it names. masked: a text without the names
    that stay out."""
    return [
        (str(made), made.on.isoformat(), masked(made.citation), made.doi, len(items), made.acknowledged or NOT_TOLD)
        for made, items in uses.of(CITED)
    ]


def remedies(uses: Uses, disclosing: Disclosing) -> list[Row]:
    """What is done about uses outside the terms: of entries of the period, and what was open in it or ended in it."""
    rows = Remedy.objects.filter(among("use", uses.entries)).select_related("paper").order_by("use__on", "pk")
    found: list[Row] = []
    period = uses.scope.period
    for one in rows:
        is_told = one.use_id in uses.by_use or one.done_on is None or period.has(one.done_on)
        if is_told and not disclosing.goes_in(one.paper_id):
            disclosing.count("kept_remedies")
        elif is_told:
            found.append((
                str(uses.entries[one.use_id]), disclosing.masked(one.paper.reference) if one.paper else None,
                disclosing.masked(one.what), iso(one.due_on), iso(one.done_on), disclosing.masked(one.done_how),
            ))  # fmt: skip
    return found


def losses(uses: Uses, disclosing: Disclosing) -> list[Row]:
    """A row a specimen that was lost, disposed of or used up within the period."""
    return [
        (
            str(made), made.deed, made.on.isoformat(), *uses.number(item), uses.name_of[item.specimen],
            disclosing.masked(item.amount),
        )
        for made, items in uses.of(Deed)
        for item in items
        if made.deed in LOSES or item.is_used_up
    ]  # fmt: skip


def _whom(made: Any, disclosing: Disclosing) -> tuple[str | None, str | None]:
    """Who received or did it, and in which country."""
    if made.recipient is None:
        return None, None
    return disclosing.masked(made.recipient.name), made.recipient.country or None


def _request(made: Any) -> str | None:
    return made.request.reference if made.request else None


def _answer(items: Iterable[Item]) -> str | None:
    """The strictest answer of these specimens; None where one of them has none, so that nothing is said for it."""
    answers = [item.answer for item in items]
    if not answers or any(answer is None for answer in answers):
        return None
    return Answer(max(answer for answer in answers if answer is not None)).code


def _outside(items: Iterable[Item]) -> str:
    return YES if any(item.is_outside for item in items) else NO


def _commercial(made: Any) -> str:
    if made.deed == Deed.COMMERCIAL:
        return YES
    return made.commercial or (made.request.commercial if made.request else "") or NOT_TOLD
