"""Drafts of reports: begun, changed, written in, corrected, discarded."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from accessions.people.access import Verb, check
from accessions.people.editing import add, change
from accessions.people.history import record, remove
from governance.papers.restriction import check_readable
from governance.reports.actions.errors import ReportError
from governance.reports.actions.issuing import held_issued
from governance.reports.actions.work import at_rest, held_draft, save_work
from governance.reports.models import Report
from governance.reports.queries.listing import next_reference
from governance.reports.queries.offered import can_answer
from governance.reports.tables import ALWAYS, PARTS, TEXTS

ABOUT: Final = ("country", "paper", "agent", "accession", "period_from", "period_to")
EDITABLE: Final = (*ABOUT, "reference", "title", "language", "addressee", "left_out", "duty")
_COPIED: Final = ("kind", "title", "language", "addressee", "left_out", "texts", "duty", *ABOUT)


def add_draft(*, kind: str, values: Mapping[str, Any], by: Any, why: str = "") -> Report:
    """Begin a report; nothing is composed yet.

    Raises:
        ValidationError: a value does not hold.
        NotAllowedError: the person may not draft reports, or not read the paper that it is about.
    """
    check(by, Verb.WRITE_REPORTS)
    _check_papers(values, by)
    _check_left_out(kind, values)
    with _numbered_once(), transaction.atomic():
        made = Report(kind=kind, **{name: values[name] for name in EDITABLE if name in values})
        _check_duty(made)
        add(made, by=by, why=why or gettext_noop("begun"))
    return made


class _numbered_once:  # reads as the condition that it is
    """Two people who were offered the same number: the second is told, in words."""

    def __enter__(self) -> None:
        return None

    def __exit__(self, kind: Any, error: BaseException | None, trace: Any) -> None:
        if isinstance(error, IntegrityError):
            words = _("Another report has this number by now. Give it the next one.")
            raise ValidationError({"reference": words}) from error


def edit_draft(*, report: Report, values: Mapping[str, Any], by: Any, why: str) -> list[str]:
    """Change what a draft is about; returns the fields that changed. Work that goes on no longer counts.

    Raises:
        ReportError: it is issued or discarded.
        ValidationError: a value does not hold.
        NotAllowedError: the person may not draft reports, or not read a paper of it.
    """
    check(by, Verb.WRITE_REPORTS)
    _check_papers(values, by)
    _check_left_out(report.kind, values)
    with _numbered_once(), transaction.atomic():
        current = held_draft(report, by=by)
        changed = change(current, values, editable=EDITABLE, by=by, why=why)
        _check_duty(current)
        if changed:
            _supersede(current)
    return changed


def write_texts(*, report: Report, texts: Mapping[str, str], by: Any, why: str = "") -> bool:
    """Write what people add in their own words; whether anything is another now.

    Raises:
        ReportError: it is issued or discarded.
        ValueError: a text that reports of this kind do not have.
    """
    check(by, Verb.WRITE_REPORTS)
    if unknown := set(texts) - set(TEXTS[report.kind]):
        raise ValueError(f"a report of kind {report.kind} has no texts {sorted(unknown)}")
    with transaction.atomic():
        current = held_draft(report, by=by)
        whole = {**current.texts, **{key: text.strip() for key, text in texts.items()}}
        whole = {key: text for key, text in whole.items() if text}
        if whole == current.texts:
            return False
        current.texts = whole
        record(current, by=by, why=why or gettext_noop("texts written"), fields=["texts"])
        _supersede(current)
    return True


def _supersede(report: Report) -> None:
    at_rest(report)
    save_work(report)


def correct(*, report: Report, by: Any) -> Report:
    """A new draft that names the issued report it corrects, with all that was told of it; the one that is begun already
    if there is one.

    Raises:
        ReportError: it is a draft itself.
        NotAllowedError: the person may not draft reports, or not read the paper that it is about.
    """
    check(by, Verb.WRITE_REPORTS)
    with _numbered_once(), transaction.atomic():
        current = held_issued(report, by=by)
        begun = Report.objects.filter(corrects=current, issued_at__isnull=True).first()
        if begun is not None:
            return begun
        made = Report(reference=next_reference(timezone.localdate()), corrects=current,
                      **{name: getattr(current, name) for name in _COPIED})  # fmt: skip
        add(made, by=by, why=gettext_noop("corrects %(number)s") % {"number": current.reference})
    return made


def discard(*, report: Report, by: Any, why: str) -> None:
    """Take a draft away; the history keeps that it was there.

    Raises:
        ReportError: it is issued, or gone already.
    """
    check(by, Verb.WRITE_REPORTS)
    with transaction.atomic():
        remove(held_draft(report, by=by), by=by, why=why)


def _check_papers(values: Mapping[str, Any], by: Any) -> None:
    duty = values.get("duty")
    for paper in (values.get("paper"), duty.paper if duty is not None else None):
        if paper is not None:
            check_readable(paper, by)


def _check_duty(report: Report) -> None:
    """A report answers no duty of another paper or country, and none that asks for no report."""
    if report.duty is not None and not can_answer(report.duty, report):
        words = _("A report about this does not answer that duty: it is of another paper or country, or asks for "
                  "something else than a report.")  # fmt: skip
        raise ValidationError({"duty": words})


def _check_left_out(kind: str, values: Mapping[str, Any]) -> None:
    told = set(values.get("left_out") or ())
    if unknown := told - set(PARTS[kind]):
        raise ReportError(_("Reports of this kind have no such part: %(list)s.") % {"list": ", ".join(sorted(unknown))})
    if kept := told & ALWAYS:
        raise ReportError(_("These parts cannot be left out: %(list)s.") % {"list": ", ".join(sorted(kept))})
