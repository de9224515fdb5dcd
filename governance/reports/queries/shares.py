"""Shared pages for those who make them: how each link stands, who opened it, what readers wrote, what it may offer."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any, Final

from django.db.models import Count, Max, Q, QuerySet
from django.utils import timezone
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from accessions.people.access import rows_open_to
from accessions.people.changes import Change, changes_of, newest_first
from governance.papers.countries import country_name
from governance.reports.models import Report, ReportKind, ShareLink, ShareMessage, ShareReport, ShareVisit
from governance.reports.queries.listing import visible


class LinkState(StrEnum):
    """How a link stands on a day. The words stand in addresses: never change one."""

    OPEN = "open"
    ENDED = "ended"
    REVOKED = "revoked"


LINK_STATES: Final = {
    LinkState.OPEN: pgettext_lazy("shared page", "Open"), LinkState.ENDED: _("Ended"), LinkState.REVOKED: _("Revoked"),
}  # fmt: skip
"""The states on screens."""


def state_of(link: ShareLink, today: date) -> LinkState:
    """Open up to its last day, that day included, unless it was revoked."""
    if link.revoked_at is not None:
        return LinkState.REVOKED
    return LinkState.OPEN if today <= link.open_until else LinkState.ENDED


@dataclass(frozen=True)
class LinkLine:
    """A link in the list."""

    link: Any
    state: LinkState

    @property
    def subject(self) -> str:
        return subject_words(self.link)


def subject_words(link: ShareLink) -> str:
    """What a link is about."""
    if link.paper is not None:
        return link.paper.reference
    return link.agent.name if link.agent is not None else country_name(link.country)


def visible_links(reader: Any) -> QuerySet[ShareLink]:
    """Links whose paper is open to the reader, or that are of no paper."""
    open_ones = rows_open_to(ShareLink.objects.filter(paper__isnull=False), reader, "paper__restricted_to")
    return ShareLink.objects.filter(Q(paper__isnull=True) | Q(pk__in=open_ones.values("pk")))


def links(reader: Any, *, show: str, today: date) -> QuerySet[ShareLink]:
    """Links, newest first, with ``visit_count``, ``last_visit`` and ``unread_count``. show: of ``LinkState``."""
    rows = visible_links(reader).select_related("paper", "agent", "made_by")
    conditions: Mapping[str, Q] = {
        LinkState.OPEN: Q(revoked_at__isnull=True, open_until__gte=today),
        LinkState.ENDED: Q(revoked_at__isnull=True, open_until__lt=today),
        LinkState.REVOKED: Q(revoked_at__isnull=False),
    }
    rows = rows.filter(conditions[show]) if show in conditions else rows
    opened = Q(visits__what=ShareVisit.What.PAGE)
    return rows.annotate(
        visit_count=Count("visits", filter=opened, distinct=True), last_visit=Max("visits__at", filter=opened),
        unread_count=Count("messages", filter=Q(messages__read_at__isnull=True), distinct=True),
    ).order_by("-pk")  # fmt: skip


def link_lines(rows: list[Any], today: date) -> list[LinkLine]:
    """Rows of ``links`` as lines."""
    return [LinkLine(one, state_of(one, today)) for one in rows]


HEADER: Final = (
    "for whom", "about", "language", "state", "open until", "opened", "last opened", "unread", "shows material",
    "takes messages", "made on", "made by", "revoked on", "revoked because",
)  # fmt: skip


def file_rows(found: QuerySet[ShareLink], today: date) -> Iterator[tuple[Any, ...]]:
    """Rows of ``links`` for a file."""
    row: Any
    for row in found.iterator():
        last, revoked = row.last_visit, row.revoked_at
        yield (
            row.name, subject_words(row), row.language, state_of(row, today).value, row.open_until, row.visit_count,
            last and timezone.localtime(last).date(), row.unread_count, "yes" if row.shows_material else "no",
            "yes" if row.takes_messages else "no", timezone.localtime(row.made_at).date(), row.made_by.shown_name,
            revoked and timezone.localtime(revoked).date(), row.revoked_why,
        )  # fmt: skip


def link_page(pk: int) -> QuerySet[ShareLink]:
    """One link with what its page names."""
    return ShareLink.objects.filter(pk=pk).select_related("paper", "agent", "made_by", "revoked_by")


def visits_of(link: ShareLink) -> QuerySet[ShareVisit]:
    """The log of a link, newest first."""
    return link.visits.select_related("report").order_by("-at", "-pk")


def messages_of(link: ShareLink) -> QuerySet[ShareMessage]:
    """What the readers of a link wrote, newest first."""
    return link.messages.select_related("read_by").order_by("-pk")


def unread(reader: Any) -> QuerySet[ShareMessage]:
    """Messages that nobody has read yet, oldest first."""
    rows = ShareMessage.objects.filter(read_at__isnull=True, link__in=visible_links(reader).values("pk"))
    return rows.select_related("link").order_by("pk")


def history_of(link: ShareLink) -> list[Change]:
    """Who changed what of a link and of the reports that it offers."""
    return newest_first(changes_of(ShareLink, id=link.pk), changes_of(ShareReport, link=link.pk))


def reports_to_share(
    reader: Any, *, country: str = "", paper: int | None = None, agent: int | None = None
) -> QuerySet[Report]:
    """Issued reports, not withdrawn, that may stand on a page about a country, a paper or a landowner. What is written
    for a landowner stands on nobody else's page."""
    rows = visible(reader).filter(issued_at__isnull=False, withdrawn_at__isnull=True)
    if agent is not None:
        return rows.filter(kind=ReportKind.LANDOWNER, agent=agent).order_by("-pk")
    rows = rows.exclude(kind=ReportKind.LANDOWNER)
    if paper is not None:
        return rows.filter(paper=paper).order_by("-pk")
    return rows.filter(Q(country=country) | Q(country="", paper__jurisdiction__startswith=country)).order_by("-pk")


def may_share_some(reader: Any) -> QuerySet[Report]:
    """Issued reports, not withdrawn, that may stand on some shared page."""
    rows = visible(reader).filter(issued_at__isnull=False, withdrawn_at__isnull=True)
    return rows.select_related("paper", "agent").order_by("-pk")
