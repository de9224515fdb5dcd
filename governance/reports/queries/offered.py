"""What a new report offers: the duty that it may answer, its period, the papers and owners that are known."""

from __future__ import annotations

from datetime import date
from typing import Any, Final

from django.db.models import F, Q
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from accessions.material.models import Specimen
from accessions.people.access import rows_open_to
from accessions.people.models import Agent
from accessions.sites.models import SiteTenure
from governance.duties.models import Duty, DutyKind
from governance.duties.queries.listing import OPEN
from governance.duties.queries.paper_material import specimens_under
from governance.papers.models import Paper
from governance.papers.restriction import is_readable
from governance.reports.models import Report, ReportKind

REPORTED: Final = (DutyKind.REPORT, DutyKind.RETURN, DutyKind.RECORDS)
"""Kinds of duties that a report can answer. A benefit is shared by giving it: a report about it is not that."""

_MOST: Final = 300

_FIRST_KIND: Final = {ReportKind.AGENCY: DutyKind.RETURN}


def open_reports(reader: Any) -> Any:
    """Duties still to be done that a report can answer, the next first; those of papers closed to this person not."""
    rows = Duty.objects.filter(OPEN, kind__in=REPORTED).select_related("paper__issuer_agent")
    closed = Paper.objects.exclude(pk__in=rows_open_to(Paper.objects.all(), reader, "restricted_to").values("pk"))
    return rows.exclude(paper__in=closed).order_by(F("due_on").asc(nulls_last=True), "pk")


def can_answer(duty: Duty, report: Report) -> bool:
    """Whether a report of this kind and subject can answer a duty: one to report, of its own paper, of a paper of its
    country, of what its landowner gave, or of a paper on its accession. A duty of the house alone may be answered by
    any. The report need not be saved."""
    if duty.kind not in REPORTED:
        return False
    paper = duty.paper
    if paper is None or report.paper_id is not None:
        return paper is None or paper.pk == report.paper_id
    if report.agent is not None:
        return report.agent == paper.issuer_agent or paper.issuer.strip().casefold() == report.agent.name.casefold()
    if report.accession_id is not None:
        own = Specimen.objects.filter(accession=report.accession_id).order_by().values_list("pk", flat=True)
        return not specimens_under([paper.pk])[paper.pk].isdisjoint(own)
    return not paper.jurisdiction or paper.jurisdiction[:2] == report.country


def duty_choices(reader: Any, *, kept: Duty | None = None) -> list[tuple[Duty, str]]:
    """The duties with their words, for a box. kept: one that is chosen already, whatever became of it."""
    found = list(open_reports(reader)[:_MOST])
    if kept is not None and kept.pk not in {one.pk for one in found}:
        found.insert(0, kept)
    return [(one, duty_words(one)) for one in found]


def duty_words(duty: Duty) -> str:
    """``31 Jan 2027, COL-2024-052: Send a return of numbers taken (2026)``."""
    day = date_format(duty.due_on, "j M Y") if duty.due_on else _("day not known")
    about = f" ({_about(duty)})" if duty.about_to else ""
    return f"{day}, {duty.paper.reference if duty.paper else _('house')}: {duty.get_kind_display()}{about}"


def _about(duty: Duty) -> str:
    first, last = duty.about_from, duty.about_to
    if first and last and (first.month, first.day, last.month, last.day, first.year) == (1, 1, 12, 31, last.year):
        return str(last.year)
    return _("until %(day)s") % {"day": date_format(last, "j M Y")} if last else ""


def next_duty(reader: Any, *, kind: str, paper: Paper | None, country: str) -> Duty | None:
    """The next duty of a paper, or of the papers of a country, that a report of this kind answers."""
    rows = open_reports(reader)
    if paper is not None:
        rows = rows.filter(paper=paper)
    elif country:
        rows = rows.filter(Q(paper__jurisdiction=country) | Q(paper__jurisdiction__startswith=f"{country}-"))
    else:
        return None
    wanted = _FIRST_KIND.get(ReportKind(kind))
    found: Duty | None = (rows.filter(kind=wanted).first() if wanted else None) or rows.first()
    return found


def paper_of(text: str, reader: Any) -> Paper | None:
    """The paper that an address names by its key; None where there is none, or not for this person."""
    is_key = text.isascii() and text.isdigit() and len(text) < 19
    found = Paper.objects.filter(pk=int(text)).first() if is_key else None
    return found if found is not None and is_readable(found, reader) else None


def duty_of(text: str, reader: Any) -> Duty | None:
    """The duty that an address names by its key; None where there is none, or not for this person."""
    is_key = text.isascii() and text.isdigit() and len(text) < 19
    found = Duty.objects.select_related("paper").filter(pk=int(text)).first() if is_key else None
    if found is None or (found.paper is not None and not is_readable(found.paper, reader)):
        return None
    return found


def period_of(duty: Duty | None, today: date) -> tuple[date, date]:
    """The time that a duty asks about; without one the calendar year before."""
    if duty is not None and duty.about_from and duty.about_to:
        return duty.about_from, duty.about_to
    return date(today.year - 1, 1, 1), date(today.year - 1, 12, 31)


def papers_known() -> list[tuple[str, str]]:
    """Papers for the list of a box: reference and kind."""
    return [(one.reference, str(one.get_kind_display()))
            for one in Paper.objects.only("reference", "kind").order_by("reference")[:500]]  # fmt: skip


def owners_known() -> list[str]:
    """Agents who hold or held a site."""
    owners = Agent.objects.filter(pk__in=SiteTenure.objects.values("agent"))
    return list(owners.order_by("name").values_list("name", flat=True)[:500])
