"""When a scan was added, by whom, whether it was replaced, whether it is whole and can be read."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from django.db.models import Prefetch, prefetch_related_objects
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from accessions.people.models import User
from governance.audit.asking import (
    Answer,
    Asked,
    Cell,
    Column,
    ColumnKind,
    Group,
    ListedRows,
    Parameter,
    ParameterKind,
    Question,
    Row,
)
from governance.audit.questions.addresses import accession_link, link, paper_link, site_link
from governance.audit.resolving import scan_of
from governance.papers.models import PaperScan
from governance.scans.models import FiledScan, Filing, Scan, ScanMark, ScanPage
from governance.scans.queries.pages import missing_pages
from governance.scans.queries.visible import closed_words, opens

_COLUMNS: Final = (
    Column("what", gettext_lazy("What happened")), Column("at", gettext_lazy("When"), ColumnKind.MOMENT),
    Column("where", gettext_lazy("Where")), Column("by", gettext_lazy("By whom")), Column("told", gettext_lazy("More")),
)  # fmt: skip


def _answer(asked: Asked) -> Answer:
    scan = scan_of(asked)
    is_open = opens(asked.reader, scan)
    filings, marks = _filings(scan), _marks(scan)
    later, look = _later(filings), _look(scan) if is_open else None
    story = [_received(scan), *_of_filings(filings, later, is_open), *(_of_marks(marks) if is_open else ())]
    story.sort(key=lambda row: str(row.cells[1]))
    state = [*_state(scan, filings, look)] if look else []
    return Answer(
        " ".join([_added(scan), _replaced(later, marks), *(_looked(look, marks) if look else ())]),
        _COLUMNS, ListedRows((*story, *state)), total=1,
        kept_back=() if is_open else (_("Its name, pages and marks stay out. %(who)s")
                                      % {"who": closed_words(scan.open_to)},),
        notes=(_("Whether pages lack is told by the page numbers that are printed on them; a scan that carries none "
                 "cannot be told whole. Words that were read show that something is legible, not that all of it is."),),
    )  # fmt: skip


def _filings(scan: Scan) -> list[FiledScan]:
    with_people = ("filed_by", "taken_off_by", "replaces")
    of_files = Filing.objects.filter(scan=scan).select_related("accession", "site", *with_people)
    of_papers = PaperScan.objects.filter(scan=scan).select_related("paper", *with_people)
    for one in (found := [*of_files, *of_papers]):
        one.scan = scan
    return found


def _marks(scan: Scan) -> list[ScanMark]:
    return list(ScanMark.objects.filter(scan=scan).select_related("other", "marked_by", "withdrawn_by").order_by("pk"))


def _name(person: User | None) -> str:
    return person.shown_name if person else _("the register")


def _received(scan: Scan) -> Row:
    told = f"SHA-256 {scan.sha256[:16]}…"
    cells: tuple[Cell, ...] = (_("Received"), scan.received_at, link("scan", scan.pk, f"#{scan.pk}"),
                               _name(scan.received_by), told)  # fmt: skip
    return Row(f"scan:{scan.pk}:received", cells)


def _of_filings(filings: list[FiledScan], later: list[FiledScan], is_open: bool) -> Iterator[Row]:
    for one in filings:
        key = f"{one._meta.model_name}:{one.pk}"
        name = one.name if is_open else ""
        edition = _("edition %(n)d") % {"n": one.edition}
        told = " · ".join(part for part in (name, edition, one.filed_why if is_open else "") if part)
        yield Row(f"{key}:filed", (_("Filed"), one.filed_at, _place(one), _name(one.filed_by), told))
        if one.taken_off_at:
            why = one.taken_off_why if is_open else ""
            yield Row(f"{key}:off", (_("Taken off"), one.taken_off_at, _place(one), _name(one.taken_off_by), why))
    for one in later:
        words = _("replaced by edition %(n)d, scan %(key)d") % {"n": one.edition, "key": one.scan_id}
        cells: tuple[Cell, ...] = (_("Replaced"), one.filed_at, _place(one), _name(one.filed_by), words)
        yield Row(f"{one._meta.model_name}:{one.pk}:replacing", cells)


def _later(filings: list[FiledScan]) -> list[FiledScan]:
    """The filings of later editions that put another content in its place: one query for each kind of filing."""
    keys: dict[Any, list[int]] = {Filing: [], PaperScan: []}
    for one in filings:
        keys[type(one)].append(one.pk)
    of_files = Filing.objects.filter(replaces__in=keys[Filing]).select_related("accession", "site", "filed_by")
    of_papers = PaperScan.objects.filter(replaces__in=keys[PaperScan]).select_related("paper", "filed_by")
    return [*of_files, *of_papers]


def _place(filing: FiledScan) -> Cell:
    if isinstance(filing, PaperScan):
        return paper_link(filing.paper)
    if isinstance(filing, Filing) and filing.accession is not None:
        return accession_link(filing.accession)
    return site_link(filing.site) if isinstance(filing, Filing) and filing.site is not None else None


def _of_marks(marks: list[ScanMark]) -> Iterator[Row]:
    for mark in marks:
        kind, other = str(mark.get_kind_display()), link("scan", mark.other_id, f"#{mark.other_id}")
        where: Cell = other if mark.other_id else None
        yield Row(f"mark:{mark.pk}", (_("Marked: %(kind)s") % {"kind": kind}, mark.marked_at, where,
                                      _name(mark.marked_by), mark.note))  # fmt: skip
        if mark.withdrawn_at:
            words = _("Mark withdrawn: %(kind)s") % {"kind": kind}
            yield Row(f"mark:{mark.pk}:withdrawn", (words, mark.withdrawn_at, where, _name(mark.withdrawn_by), ""))


@dataclass(frozen=True)
class _Look:
    """Whether pages lack, and on how many of them words were read, each in a sentence."""

    whole: str
    read: str


def _look(scan: Scan) -> _Look:
    """Two queries: the printed numbers of all pages, and how many have words."""
    printed = ScanPage.objects.only("scan_id", "number", "printed_page", "printed_of")
    prefetch_related_objects([scan], Prefetch("pages", printed))
    return _Look(_whole(scan), _read(scan))


def _state(scan: Scan, filings: list[FiledScan], look: _Look) -> Iterator[Row]:
    yield Row(f"scan:{scan.pk}:whole", (_("Whole?"), None, None, "", look.whole))
    for one in sorted(filings, key=lambda one: getattr(one, "first_page", None) or 0):
        if isinstance(one, PaperScan) and one.first_page and not one.taken_off_at:
            pages = {"first": one.first_page, "last": one.last_page}
            told = missing_pages(scan, one.first_page, one.last_page) or _("No page is missed by printed numbers.")
            words = _("Pages %(first)s to %(last)s: whole?") % pages
            yield Row(f"paperscan:{one.pk}:whole", (words, None, _place(one), "", told))
    yield Row(f"scan:{scan.pk}:legible", (_("Legible?"), None, None, "", look.read))


def _whole(scan: Scan) -> str:
    if scan.page_count is None:
        return _("It has no pages that can be counted.")
    if scan.text_state == Scan.TextState.WAITING:
        return _("Not known yet: its words have not been read.")
    if missing := missing_pages(scan):
        return missing
    if not any(page.printed_of for page in scan.pages.all()):
        return _("Whether it is whole is not known: no page numbers could be read on it.")
    return _("It is whole by the page numbers printed on it.")


def _read(scan: Scan) -> str:
    if scan.text_state == Scan.TextState.WAITING:
        return ""
    if scan.text_state != Scan.TextState.READ or scan.page_count is None:
        return f"{scan.get_text_state_display()}."
    read = ScanPage.objects.filter(scan=scan).exclude(text="").count()
    words = ngettext("Words were read on %(read)d of %(n)d page.", "Words were read on %(read)d of %(n)d pages.",
                     scan.page_count)  # fmt: skip
    return words % {"read": read, "n": scan.page_count}


def _added(scan: Scan) -> str:
    day = date_format(timezone.localtime(scan.received_at), "j F Y")
    words = _("Scan %(key)d was added on %(day)s by %(who)s.")
    return words % {"key": scan.pk, "day": day, "who": _name(scan.received_by)}


def _replaced(later: list[FiledScan], marks: list[ScanMark]) -> str:
    superseded = any(mark.kind == ScanMark.Kind.SUPERSEDED and not mark.withdrawn_at for mark in marks)
    if later:
        newest = max(later, key=lambda one: one.filed_at)
        day = date_format(timezone.localtime(newest.filed_at), "j F Y")
        words = _("It was replaced by scan %(key)d on %(day)s, by %(who)s.")
        return words % {"key": newest.scan_id, "day": day, "who": _name(newest.filed_by)}
    return _("Somebody marked it as superseded.") if superseded else _("It was not replaced.")


def _looked(look: _Look, marks: list[ScanMark]) -> Iterator[str]:
    yield from (words for words in (look.whole, look.read) if words)
    kinds = {mark.kind for mark in marks if not mark.withdrawn_at}
    if ScanMark.Kind.ILLEGIBLE in kinds:
        yield _("Somebody marked it as illegible.")
    if ScanMark.Kind.INCOMPLETE in kinds:
        yield _("Somebody marked it as incomplete.")


QUESTION: Final = Question(
    "scan-story", Group.RECORDS,
    gettext_lazy("When was this scan added, by whom, was it replaced; is it whole and legible?"),
    gettext_lazy("Its receipt, where it was filed and taken off, editions and marks; whether pages lack by their own "
                 "numbers, and on how many of them words were read."),
    _answer,
    (Parameter("scan", ParameterKind.SCAN, gettext_lazy("Scan"), is_required=True,
               help=gettext_lazy("Its number, as its page shows it.")),),
)  # fmt: skip
