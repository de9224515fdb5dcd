"""Who can see exact localities and the names of owners: roles and people, what is restricted, what is shared."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any, Final

from django.db.models import Count, F, Max, Q
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from accessions.people.access import EVERY_ROLE, Verb, is_open_to, roles_of_bits, roles_that_may
from accessions.people.models import User
from governance.audit.asking import (
    Answer,
    Asked,
    Cell,
    Column,
    ColumnKind,
    Group,
    Linked,
    ListedRows,
    Parameter,
    ParameterKind,
    Question,
    Row,
)
from governance.audit.models import Opening
from governance.audit.questions.addresses import link, paper_link, report_link, scan_link
from governance.papers.models import Paper
from governance.reports.models import Report, ShareLink, ShareReport
from governance.reports.queries.listing import visible
from governance.reports.queries.shares import LinkState, state_of, subject_words, visible_links
from governance.scans.models import Scan

_COLUMNS: Final = (
    Column("sort", gettext_lazy("What")), Column("which", gettext_lazy("Which")),
    Column("places", gettext_lazy("Exact localities")), Column("owners", gettext_lazy("Names of owners")),
    Column("who", gettext_lazy("Open to")), Column("people", gettext_lazy("People"), ColumnKind.NUMBER),
    Column("until", gettext_lazy("Until"), ColumnKind.DAY),
    Column("opened", gettext_lazy("Times opened"), ColumnKind.NUMBER),
    Column("last", gettext_lazy("Last opened"), ColumnKind.MOMENT),
)  # fmt: skip

_SHOWN: Final = (
    ("", gettext_lazy("everything")), ("people", gettext_lazy("people who sign in")),
    ("restricted", gettext_lazy("restricted papers and scans")), ("shared", gettext_lazy("shared pages and reports")),
)  # fmt: skip


def _answer(asked: Asked) -> Answer:
    people = _people_by_role()
    rows = [*_roles(people), *(_people(people) if asked["show"] == "people" else ())]
    wanted = {"": ("roles", "restricted", "shared"), "people": ("roles",)}.get(asked["show"], (asked["show"],))
    restricted = [*_papers(people), *_scans(people, asked.reader)] if "restricted" in wanted else []
    shared = [*_shared(asked), *_reports(asked)] if "shared" in wanted else []
    shown = [*(rows if "roles" in wanted else ()), *restricted, *shared]
    hidden = _hidden(asked.reader)
    return Answer(_sentence(people, asked.on), _COLUMNS, ListedRows(shown), kept_back=hidden, notes=_notes())


def _people_by_role() -> Mapping[str, list[User]]:
    found: dict[str, list[User]] = defaultdict(list)
    for user in User.objects.filter(is_active=True).order_by("last_name", "first_name", "username"):
        found[user.role].append(user)
    return found


def _roles(people: Mapping[str, list[User]]) -> Iterator[Row]:
    yes = _("yes, of the whole register")
    for role in roles_that_may(Verb.READ):
        yield Row(f"role:{role.value}", (
            _("Role"), str(role.label), yes, yes, _("all who sign in with this role"), len(people[role]), None, None,
            None,
        ))  # fmt: skip


def _people(people: Mapping[str, list[User]]) -> Iterator[Row]:
    yes = _("yes, of the whole register")
    for role in roles_that_may(Verb.READ):
        for user in people[role]:
            yield Row(f"person:{user.pk}", (_("Person"), user.shown_name, yes, yes, str(role.label), 1, None, None,
                                            None))  # fmt: skip


def _papers(people: Mapping[str, list[User]]) -> Iterator[Row]:
    opened, what = _opened("paper"), _("Restricted paper")
    for paper in Paper.objects.exclude(restricted_to=EVERY_ROLE).order_by("reference"):
        who, until, log = _open_to(paper.restricted_to, people), None, opened.get(paper.pk, (0, None))
        yield Row(f"paper:{paper.pk}", (what, paper_link(paper), *_as_inside(), *who, until, *log))


def _scans(people: Mapping[str, list[User]], reader: Any) -> Iterator[Row]:
    """The name of a scan is a part of it: whoever may not open it reads its number."""
    opened, what = _opened("scan"), _("Restricted scan")
    bits = F("restricted_to").bitand(F("papers_restricted_to"))  # type: ignore[arg-type]  # columns as well as numbers
    for scan in Scan.objects.annotate(bits=bits).exclude(bits=EVERY_ROLE).order_by("pk"):
        is_open = is_open_to(reader, scan.open_to)
        which = scan_link(scan) if is_open else link("scan", scan.pk, f"#{scan.pk}")
        who, until, log = _open_to(scan.open_to, people), None, opened.get(scan.pk, (0, None))
        yield Row(f"scan:{scan.pk}", (what, which, *_as_inside(), *who, until, *log))


def _as_inside() -> tuple[Cell, Cell]:
    return _("those that are in it"), _("those that are in it")


def _open_to(bits: int, people: Mapping[str, list[User]]) -> tuple[Cell, Cell]:
    roles = roles_of_bits(bits)
    words = ", ".join(str(role.label) for role in roles) or _("nobody")
    return words, sum(len(people[role]) for role in roles)


def _opened(column: str) -> dict[int, tuple[int, Any]]:
    rows = Opening.objects.filter(**{f"{column}__isnull": False}).order_by().values_list(column)
    return {key: (times, last) for key, times, last in rows.annotate(Count("pk"), Max("opened_at"))}


def _shared(asked: Asked) -> Iterator[Row]:
    """Pages open on the day: they name sites and no position, and of owners only the one who reads it."""
    links = visible_links(asked.reader).select_related("paper", "agent").annotate(
        times=Count("visits", filter=Q(visits__what="page")), last=Max("visits__at", filter=Q(visits__what="page"))
    )  # fmt: skip
    for one in links.filter(made_at__date__lte=asked.on).order_by("-pk"):
        if state_of(one, asked.on) != LinkState.OPEN:
            continue
        places = _("names of sites, no positions") if one.shows_material else _("no")
        owners = _("their own name") if one.agent_id else _("no")
        address = Linked(one.name, reverse("reports:share", args=[one.pk]))
        yield Row(f"share:{one.pk}", (_("Shared page"), address, places, owners, subject_words(one), None,
                                      one.open_until, one.times, one.last))  # fmt: skip


def _reports(asked: Asked) -> Iterator[Row]:
    """Issued reports that tell exact places or the names of owners; where a shared page offers them, its reader has
    them, too."""
    shares = _shares_of_reports(asked.on)
    issued = visible(asked.reader).filter(issued_at__date__lte=asked.on, withdrawn_at__isnull=True)
    for report in issued.only("reference", "contents", "addressee", "agent", "paper").order_by("-pk"):
        told = (report.contents or {}).get("disclosure") or {}
        exact, owners = told.get("places") == "exact", bool(told.get("names_owners"))
        if exact or owners:
            who = ", ".join([report.addressee.splitlines()[0]] if report.addressee else []) or told.get("reader", "")
            words = "; ".join([who, *shares.get(report.pk, ())])
            yield Row(f"report:{report.pk}", (
                _("Issued report"), report_link(report), _("yes") if exact else _("no"),
                _("yes") if owners else _("no"), words, None, None, None, None,
            ))  # fmt: skip


def _shares_of_reports(on: date) -> dict[int, list[str]]:
    found: dict[int, list[str]] = defaultdict(list)
    for one in ShareReport.objects.select_related("link").order_by("pk"):
        if state_of(one.link, on) == LinkState.OPEN:
            found[one.report_id].append(_("shared page for %(name)s") % {"name": one.link.name})
    return found


def _hidden(reader: Any) -> tuple[str, ...]:
    links = ShareLink.objects.exclude(pk__in=visible_links(reader).values("pk")).count()
    reports = Report.objects.filter(issued_at__isnull=False).exclude(pk__in=visible(reader).values("pk")).count()
    of_links = ngettext("%(n)d shared page is about a paper that is not open to you.",
                        "%(n)d shared pages are about papers that are not open to you.", links)  # fmt: skip
    of_reports = ngettext("%(n)d issued report is about a paper that is not open to you.",
                          "%(n)d issued reports are about papers that are not open to you.", reports)  # fmt: skip
    return tuple(words % {"n": n} for n, words in ((links, of_links), (reports, of_reports)) if n)


def _sentence(people: Mapping[str, list[User]], on: date) -> str:
    readers = sum(len(people[role]) for role in roles_that_may(Verb.READ))
    papers = Paper.objects.exclude(restricted_to=EVERY_ROLE).count()
    pages = ShareLink.objects.filter(revoked_at__isnull=True, open_until__gte=on, made_at__date__lte=on).count()
    first = ngettext("%(n)s person who signs in can see exact localities and the names of owners",
                     "%(n)s people who sign in can see exact localities and the names of owners", readers)  # fmt: skip
    rest = ngettext("%(n)s paper is restricted to some roles", "%(n)s papers are restricted to some roles", papers)
    last = ngettext("%(n)s shared page is open.", "%(n)s shared pages are open.", pages)
    told = (first % {"n": readers}, rest % {"n": papers}, last % {"n": pages})
    return "; ".join(told)


def _notes() -> tuple[str, ...]:
    return (
        _("Whoever signs in reads the facts of the register, localities and owners among them; roles differ in what "
          "they may change and in which restricted papers and scans they may read."),
        _("Shared pages name sites unless their place is kept back, never positions; private owners are named to "
          "themselves alone. Reports say what they disclose."),
        _("Openings of restricted papers and scans are logged; reading of what is open to all is not."),
    )  # fmt: skip


QUESTION: Final = Question(
    "who-can-see", Group.RECORDS, gettext_lazy("Who can see exact localities and owner names?"),
    gettext_lazy("Roles with the people who have them, restricted papers and scans with the roles that may read them "
                 "and how often they were opened, shared pages and issued reports that tell places or owners."),
    _answer,
    (Parameter("show", ParameterKind.CHOICE, gettext_lazy("Shown"), choices=_SHOWN),),
)  # fmt: skip
