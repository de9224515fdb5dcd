"""Who may do what: roles against deeds, roles against pages, and what is restricted now."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.db.models import Count, F, Q
from django.urls import URLPattern, URLResolver, get_resolver
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from accessions.people.access import DEEDS, EVERY_ROLE, VERBS_OF_ROLE, Verb, deeds_by_role, roles_of_bits
from accessions.people.models import Role
from governance.papers.models import Paper
from governance.papers.restriction import is_readable, roles_in_a_list
from governance.scans.models import Scan


@dataclass(frozen=True)
class Page:
    """An address with the verb that its view asks for; None: it asks for none."""

    room: str
    name: str
    route: str
    verb: Verb | None

    @property
    def deed(self) -> Any:
        """What one must be allowed to do."""
        return DEEDS[self.verb] if self.verb is not None else ""

    @property
    def roles(self) -> list[bool]:
        """Whether each role may, in the order of ``Role``."""
        return [self.verb is None or self.verb in VERBS_OF_ROLE[role] for role in Role]


def pages() -> list[Page]:
    """Every address of the site, from the URLconf, as the guard of its view says."""
    return list(_walk(get_resolver().url_patterns, "", ""))


def _walk(patterns: Sequence[Any], room: str, route: str) -> Iterator[Page]:
    for pattern in patterns:
        here = route + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            yield from _walk(pattern.url_patterns, pattern.app_name or room, here)
        elif isinstance(pattern, URLPattern):
            verb = getattr(pattern.callback, "required_verb", None)
            yield Page(room, pattern.name or "", f"/{here}", verb)


@dataclass(frozen=True)
class Room:
    """The pages of a room. name: as people call it."""

    name: Any
    pages: Sequence[Page]


_ROOM_NAMES: Final[Mapping[str, Any]] = {
    "": gettext_lazy("Beginnings"),
    "verdicts": gettext_lazy("Specimens, verdicts and countries"),
    "guide": gettext_lazy("Guide and help"),
    "search": gettext_lazy("Search"),
    "duties": gettext_lazy("Duties and benefits"),
    "reports": gettext_lazy("Reports and shared pages"),
    "audit": gettext_lazy("Audit"),
    "usedesk": gettext_lazy("Use desk"),
    "plans": gettext_lazy("Field plans"),
    "papers": gettext_lazy("Papers"),
    "scans": gettext_lazy("Scans"),
    "intake": gettext_lazy("Intake"),
    "material": gettext_lazy("Accessions and arrivals"),
    "sites": gettext_lazy("Sites"),
    "people": gettext_lazy("People and agents"),
}


def rooms() -> list[Room]:
    """Pages by room, in the order of the addresses."""
    found: dict[str, list[Page]] = {}
    for page in pages():
        found.setdefault(page.room, []).append(page)
    return [Room(_ROOM_NAMES.get(name, name), own) for name, own in found.items()]


@dataclass(frozen=True)
class RestrictedPaper:
    """why: "" where it is not for the reader."""

    paper: Paper
    roles: str
    why: str


def restricted_papers(reader: Any) -> list[RestrictedPaper]:
    """Papers that some role may not read, by reference: one query."""
    rows = Paper.objects.exclude(restricted_to=EVERY_ROLE).order_by("reference")
    return [
        RestrictedPaper(
            paper, roles_in_a_list(paper.restricted_to), paper.restricted_why if is_readable(paper, reader) else ""
        )
        for paper in rows
    ]


def restricted_scans() -> list[tuple[str, int]]:
    """How many scans are open to which roles alone: one query. The name of a scan is for those who may open it."""
    closed = ~Q(restricted_to=EVERY_ROLE) | ~Q(papers_restricted_to=EVERY_ROLE)
    both: Any = F("restricted_to").bitand(F("papers_restricted_to"))  # type: ignore[arg-type]
    rows = Scan.objects.filter(closed).alias().annotate(bits=both).values_list("bits").annotate(n=Count("pk"))
    return [(_open_to(bits), n) for bits, n in rows.order_by("-n", "bits")]


def _open_to(bits: int) -> str:
    return roles_in_a_list(bits) if roles_of_bits(bits) else _("nobody: its papers are restricted to different roles")


@dataclass(frozen=True)
class Rights:
    """All of the page. auditor: what an auditor may do, in words; auditor_pages: of how many pages."""

    roles: Sequence[Any]
    deeds: Sequence[tuple[Any, list[bool]]]
    rooms: Sequence[Room]
    papers: Sequence[RestrictedPaper]
    scans: Sequence[tuple[str, int]]
    auditor: Sequence[Any]
    auditor_pages: int
    auditor_closed: int
    page_count: int


def rights(reader: Any) -> Rights:
    """Two queries."""
    by_room, papers = rooms(), restricted_papers(reader)
    every = [page for room in by_room for page in room.pages]
    place = list(Role).index(Role.AUDITOR)
    return Rights(
        roles=[role.label for role in Role], deeds=deeds_by_role(), rooms=by_room, papers=papers,
        scans=restricted_scans(), auditor=[DEEDS[verb] for verb in Verb if verb in VERBS_OF_ROLE[Role.AUDITOR]],
        auditor_pages=sum(1 for page in every if page.roles[place]),
        auditor_closed=sum(1 for one in papers if not one.paper.restricted_to >> place & 1),
        page_count=len(every),
    )  # fmt: skip
