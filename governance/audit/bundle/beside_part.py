"""What became of the material, what is owed, and the reports that tell of it."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from governance.audit.bundle.frame import Bundle, Part
from governance.audit.queries.bundling import duties_of, reports_of
from governance.duties.queries.listing import HEADER as DUTIES_HEAD
from governance.duties.queries.listing import told_rows
from governance.reports.models import Report, ReportFile, ReportSending
from governance.reports.queries.listing import STATE_WORDS, state_of
from governance.reports.queries.stored import as_data, tables_of
from governance.reports.queries.told_papers import is_shut_to
from governance.usedesk.queries.trail import Narrowed
from governance.usedesk.queries.trail_files import HEADER as USES_HEAD
from governance.usedesk.queries.trail_files import SPECIMEN_HEADER, entry_rows, specimen_rows

_REPORT_HEAD: Final = (
    "number",
    "kind",
    "title",
    "state",
    "issued",
    "period from",
    "period to",
    "addressed to",
    "last sent",
)
_SENDING_HEAD: Final = ("sent on", "to whom", "how", "proof", "recorded by", "voided because")


def add_uses(bundle: Bundle) -> None:
    """``uses/``: one row an entry, and one a specimen and entry, with the answer of the day."""
    material = bundle.subject.material
    if material is None:
        return
    part = bundle.part(_("What became of it"))
    if not (material.uses or material.declined):
        part.words = _("No use of it is entered, and nothing that was asked for and declined.")
        return
    bundle.step(_("Uses"), 0, len(material.uses))
    everything = Narrowed(voided=True)
    bundle.csv("uses/uses.csv", USES_HEAD, entry_rows(material, everything, bundle.reader))
    part.tell("uses/uses.csv", _("Loans, samples, sequences, papers, losses, with the answer of the day"))
    bundle.csv("uses/specimens.csv", SPECIMEN_HEADER, specimen_rows(material, everything, bundle.reader))
    part.tell("uses/specimens.csv", _("The same, specimen by specimen"))


def add_duties(bundle: Bundle) -> None:
    """``duties/duties.csv``: what its papers ask for, and how each stands on the day that was asked for."""
    if not (bundle.subject.papers or bundle.subject.accessions):
        return
    found = duties_of(bundle.subject.papers, bundle.subject.accessions, bundle.on)
    part, count = bundle.part(_("Duties"), _("No duty is entered for its papers.")), found.count()
    if count:
        words = ngettext("%(n)s duty of its papers.", "%(n)s duties of its papers.", count)
        part.words = words % {"n": intcomma(count)}
        bundle.csv("duties/duties.csv", DUTIES_HEAD, told_rows(found, bundle.reader, bundle.on))
        part.tell("duties/duties.csv", _("To whom, by when, how it stands, what became of it"))


def add_reports(bundle: Bundle) -> None:
    """``reports/``: the report itself, or a list of those that tell of the papers, accessions or country."""
    if bundle.subject.report is not None:
        _add_own(bundle, bundle.subject.report)
        return
    told, closed = reports_of(bundle.subject, bundle.reader)
    if closed:
        words = ngettext(
            "%(n)s report: it tells of a paper that is not open to you.",
            "%(n)s reports: they tell of papers that are not open to you.", closed,
        )  # fmt: skip
        bundle.left_out.append(words % {"n": intcomma(closed)})
    part = bundle.part(_("Reports"), _("No report that is open to this reader tells of it."))
    if told:
        words = ngettext("%(n)s report tells of it.", "%(n)s reports tell of it.", len(told))
        part.words = words % {"n": intcomma(len(told))}
        bundle.csv("reports/reports.csv", _REPORT_HEAD, map(_report_cells, told))
        part.tell("reports/reports.csv", _("Their numbers, kinds and states; each has an evidence file of its own"))


def _report_cells(report: Any) -> Sequence[Any]:
    return (
        report.reference, str(report.get_kind_display()), report.title, str(STATE_WORDS[state_of(report)]),
        timezone.localtime(report.issued_at).date() if report.issued_at else "", report.period_from, report.period_to,
        report.addressee, report.last_sent_on,
    )  # fmt: skip


def _add_own(bundle: Bundle, report: Report) -> None:
    part = bundle.part(_("The report"), f"{report.reference}, {report.get_kind_display()}")
    if is_shut_to(report, bundle.reader):
        bundle.left_out.append(_("What stands in the report: it tells of papers that are not open to you."))
        return
    for file in ReportFile.objects.filter(report=report).order_by("format"):
        data = bytes(file.data)
        name = bundle.packed.name_for("reports", file.name)
        bundle.packed.add(name, data)
        part.tell(name, _("As it was issued"), file.sha256)
        if hashlib.sha256(data).hexdigest() != file.sha256:
            bundle.not_known.append(_("%(name)s does not have the hash of its issue.") % {"name": file.name})
    if not part.members:
        bundle.not_known.append(_("The files of the report: it is not issued, so there are none yet."))
    _add_tables(bundle, part, report)
    sendings = ReportSending.objects.filter(report=report).select_related("recorded_by").order_by("sent_on", "pk")
    if sendings.exists():
        bundle.csv("reports/sendings.csv", _SENDING_HEAD, map(_sending_cells, sendings))
        part.tell("reports/sendings.csv", _("When it was sent, to whom, how, and the proof"))


def _add_tables(bundle: Bundle, part: Part, report: Report) -> None:
    for table in tables_of(report):
        data = as_data(table)
        name = bundle.packed.name_for("rows", f"report-{table.key}.csv")
        bundle.csv(name, [column.key for column in data.columns], iter(data.rows))
        part.tell(name, _("Rows behind the figures of the report"))


def _sending_cells(row: ReportSending) -> Sequence[Any]:
    return row.sent_on, row.to_whom, row.how, row.proof, row.recorded_by.shown_name, row.voided_why
