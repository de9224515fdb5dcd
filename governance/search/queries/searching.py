"""All kinds looked through for what was typed; and numbers that lead straight to what has them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.urls import reverse
from django.utils.http import urlencode
from django.utils.translation import gettext_lazy as _

from accessions.material.models import Accession, Delivery
from accessions.sites.models import Site
from governance.papers.models import Paper
from governance.plans.models import FieldPlan
from governance.reports.models import Report
from governance.search.asked import Asked
from governance.search.queries import material, names, papers, places, work
from governance.search.queries.kinds import SHOWN, Hit, Kind, Matches, Text, added_kinds
from governance.usedesk.models import MadeUse, UseRequest
from governance.usedesk.queries.codes import read_code
from governance.usedesk.queries.resolving import specimens_of
from governance.verdicts.queries.search_words import labelled

KINDS: Final = (
    Kind("specimens", _("Specimens"), _("the beginnings of catalogue numbers"), material.find_specimens, True),
    Kind("removed", _("Specimens that were removed"), _("whole catalogue numbers"), material.find_removed, True),
    Kind("accessions", _("Accessions"), _("number, title, source"), material.find_accessions, True),
    Kind("parts", _("Parts of accessions"), _("letter, title"), material.find_parts, True),
    Kind("deliveries", _("Deliveries"), _("entry number, contents, sender"), material.find_deliveries, True),
    Kind("papers", _("Papers"), _("number, who gave and who holds them, remarks"), papers.find_papers, True),
    Kind("sites", _("Sites"), _("code, name"), places.find_sites, True),
    Kind("agents", _("Agents"), _("all forms of their names"), names.find_agents),
    Kind("taxa", _("Taxa"), _("names of all ranks"), names.find_taxa),
    Kind("localities", _("Localities as written"), _("beginnings of their words"), places.find_localities),
    Kind("plans", _("Field plans"), _("number, title, leader, stops"), work.find_plans, True),
    Kind("requests", _("Requests"), _("number, title, who asks, purpose"), work.find_requests, True),
    Kind("uses", _("Uses that were made"), _("number, words, recipient, citation"), work.find_uses, True),
    Kind("duties", _("Duties"), _("words, to whom, paper"), work.find_duties),
    Kind("reports", _("Reports"), _("number, title, addressee"), work.find_reports, True),
    Kind("questions", _("Questions of the audit"), _("title, explanation"), work.find_questions),
    Kind("scans", _("Scans by name"), _("name of the file"), papers.find_scans, True),
    Kind("words", _("Words in scans"), _("all words of all pages that were read"), papers.find_words),
)
"""The kinds in the order of the page, as long as none has a number that was typed whole."""


@dataclass(frozen=True)
class Found:
    """A kind with what was found of it. hits: the first. all_address: where all of them are, "" where all are here."""

    kind: Kind
    matches: Matches
    hits: Sequence[Hit]
    all_address: str = ""

    @property
    def title(self) -> Text:
        return self.kind.title

    @property
    def count(self) -> int:
        return self.matches.count


@dataclass(frozen=True)
class Results:
    """What was found, the kinds with whole numbers first. straight: the one thing whose number was typed whole."""

    asked: Asked
    found: Sequence[Found]
    straight: Hit | None = None

    @property
    def count(self) -> int:
        return sum(one.count for one in self.found)

    @property
    def is_more(self) -> bool:
        return any(one.matches.is_more for one in self.found)


def kinds() -> Sequence[Kind]:
    """All kinds, those of rooms above last."""
    return (*KINDS, *added_kinds())


def search(asked: Asked, user: Any) -> Results:
    """Everything that the person may find. The number of queries does not grow with what is found."""
    if asked.is_blank:
        return Results(asked, ())
    matched = [(kind, kind.find(asked, user)) for kind in kinds()]
    some = sorted(((kind, of) for kind, of in matched if of.count), key=lambda pair: -len(pair[1].exact))
    found = [Found(kind, of, of.show(of.rows[:SHOWN]), _all(kind, of, asked)) for kind, of in some]
    return Results(asked, found, _straight(some))


def _straight(some: Sequence[tuple[Kind, Matches]]) -> Hit | None:
    exact = [(of, row) for kind, of in some if kind.goes_straight for row in of.exact]
    if len(exact) != 1:
        return None
    of, row = exact[0]
    return next(iter(of.show([row])), None)


def _all(kind: Kind, of: Matches, asked: Asked) -> str:
    """The list of the room, if all of it stands there; else the same kind on the search's own page, as a list."""
    if of.count <= SHOWN:
        return ""
    if of.list_address and (of.in_list is None or of.in_list() == of.count):
        return of.list_address
    return f"{reverse('search:search')}?{urlencode({'q': asked.text, 'kind': kind.key})}"


_NUMBERED: Final = (
    (Accession, "number"), (Delivery, "entry_number"), (Paper, "reference"), (FieldPlan, "reference"),
    (UseRequest, "reference"), (Report, "reference"), (Site, "code"), (MadeUse, "reference"),
)  # fmt: skip


def specimen_at_once(asked: Asked, house: str = "") -> int | None:
    """The specimen with this very number, unless something else has it, too: up to two queries, both by indexes. A
    reader that sends a number and Enter waits for nothing else. What a reader sends around the number is understood as
    at the use desk.

    Args:
        house: host of this register, as its own addresses name it.
    """
    key = labelled(asked.text) if asked.text else None
    if key is None:
        return _read_by_a_reader(asked.text, house)
    return None if _is_elsewhere([asked.text]) else key


def _read_by_a_reader(text: str, house: str) -> int | None:
    """The one specimen of a code that holds more than a number; no query is asked about any other text."""
    code = read_code(text, house)
    if code.key is None and len(code.numbers) < 2:
        return None
    keys = specimens_of([code])[0]
    return keys[0] if len(keys) == 1 and not _is_elsewhere(code.numbers) else None


def _is_elsewhere(numbers: Iterable[str]) -> bool:
    wanted = {form for number in numbers for form in (number, number.upper())}
    first, *rest = (
        model._default_manager.filter(**{f"{column}__in": wanted}).order_by().values_list("pk")
        for model, column in _NUMBERED
    )
    return bool(list(first.union(*rest, all=True)[:1]))
