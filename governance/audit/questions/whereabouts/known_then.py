"""Whether the register knew what a paper says on the day of a use: the two clocks held against each other."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Final

from django.db.models import Min, Q
from django.utils import timezone
from django.utils.translation import gettext as _

from accessions.people.history import DELETED
from governance.audit.clocks import moment_of
from governance.audit.questions.telling import day_words
from governance.papers.models import SAID_NAMES, PaperLink, PaperVersion, UseTerm
from governance.usedesk.queries.bearing import SpecimenRow

_COMPARED: Final = tuple(
    field.attname for field in UseTerm._meta.concrete_fields if field.attname not in ("id", "version_id", "use")
)


@dataclass(frozen=True)
class Known:
    """What the register knew. words: for people. since: when the terms that stand were first entered so; None: they
    are not, or nothing tells. is_known: all of it as it stands."""

    words: str
    since: datetime | None = None
    is_known: bool = False


@dataclass(frozen=True)
class Entries:
    """When what is known of papers was entered. links: by paper from when to when it was linked to this material, the
    oldest first; versions: by version its first entry; terms: by version and use all entries, the oldest first."""

    links: Mapping[int, list[tuple[datetime, datetime | None]]]
    versions: Mapping[int, datetime]
    terms: Mapping[tuple[int, int], list[Any]]

    def known(self, paper: int, version: int, use: int, term: UseTerm | None, on: date) -> Known:
        """What was known at the end of a day of what a version says of a use."""
        at = moment_of(on)
        linked, entered = _linked_later(self.links.get(paper, []), at), self.versions.get(version)
        rows = self.terms.get((version, use), [])
        since = _since(rows, term)
        if linked is not None:
            return Known(_("No: the paper was linked on %(day)s") % {"day": _day(linked)}, since)
        if entered is not None and entered > at:
            return Known(_("No: this version was entered on %(day)s") % {"day": _day(entered)}, since)
        if term is None:
            return Known(_("No: nobody has read it for this use"))
        return _of_term(rows, term, at, since)


def _linked_later(links: Collection[tuple[datetime, datetime | None]], at: datetime) -> datetime | None:
    """When it was linked, if not at the moment; None: it was, or no link tells, as of a record of title."""
    if any(first <= at and (last is None or last > at) for first, last in links):
        return None
    return next((first for first, _last in links if first > at), None)


def _of_term(rows: Collection[Any], term: UseTerm, at: datetime, since: datetime | None) -> Known:
    then = next((row for row in reversed(list(rows)) if row.history_date <= at), None)
    if then is None or then.history_type == DELETED:
        words = _("No: it was read on %(day)s") % {"day": _day(since)} if since else _("Not told: no entry is dated")
        return Known(words, since)
    if _same(then, term):
        return Known(_("Yes"), since, is_known=True)
    if then.said == term.said:
        return Known(_("In part: its words or conditions were entered otherwise"), since)
    return Known(_("Otherwise: “%(said)s” was entered") % {"said": SAID_NAMES[then.said]}, since)


def _since(rows: Collection[Any], term: UseTerm | None) -> datetime | None:
    """From when on it was entered as it stands, without a break."""
    since = None
    for row in reversed(list(rows)):
        if term is None or row.history_type == DELETED or not _same(row, term):
            break
        since = row.history_date
    return since


def _same(row: Any, term: UseTerm) -> bool:
    return all(getattr(row, name) == getattr(term, name) for name in _COMPARED)


def _day(at: datetime) -> str:
    return day_words(timezone.localdate(at))


def entries(
    papers: Collection[int], rows: Iterable[SpecimenRow], versions: Collection[int], uses: Collection[int],
    until: datetime | None,
) -> Entries:  # fmt: skip
    """Three queries. rows: of the material. until: what was entered after it is not looked at; None: all of it."""
    before = {} if until is None else {"history_date__lte": until}
    terms: dict[tuple[int, int], list[Any]] = defaultdict(list)
    history = UseTerm.history.filter(version_id__in=versions, use__in=uses, **before)
    for row in history.order_by("history_date", "history_id"):
        terms[row.version_id, row.use].append(row)
    entered = PaperVersion.history.filter(id__in=versions, **before).order_by().values_list("id")
    return Entries(_links(papers, rows), dict(entered.annotate(first=Min("history_date"))), terms)


def _links(
    papers: Collection[int], rows: Iterable[SpecimenRow]
) -> dict[int, list[tuple[datetime, datetime | None]]]:  # fmt: skip
    """By paper when it was linked to some of the material, links that were taken off too; of links to sites, any."""
    met = list(rows)
    reaches = (
        Q(all_accessions=True) | Q(site__isnull=False) | Q(accession__in={row.accession for row in met})
        | Q(part__in={row.part for row in met}) | Q(event__in={row.event for row in met})
        | Q(specimen__in={row.pk for row in met})
    )  # fmt: skip
    found: dict[int, list[tuple[datetime, datetime | None]]] = defaultdict(list)
    links = PaperLink.objects.filter(reaches, paper__in=papers).order_by("linked_at", "pk")
    for paper, first, last in links.values_list("paper", "linked_at", "unlinked_at"):
        found[paper].append((first, last))
    return found
