"""Scans in templates: the reading pane, marks, names.

``{% scan_pane scan %}``, ``{% scan_pane scan first=13 last=16 page=14 marks=boxes %}``: the pane with its style and
script. first, last: the pages of the scan that are this paper; page and marks (boxes of ``governance/scans/pane.py``):
what is shown until the reader turns the page. The class ``pane-side`` on the column keeps the pane in view beside a
long form. One pane a page: page, turn, size and mark of the address are its own.

A button or link anywhere on the page shows a passage in the pane:
``<a href="?page=2&amp;mark=0.1,0.2,0.6,0.24#pane" data-pane-page="2" data-pane-mark="0.1,0.2,0.6,0.24">``.
Boxes are left, top, right, bottom from 0 to 1 with ";" between (``boxes`` writes them); pages count in the scan. The
``href`` is for who has no script. If several scans can be in the pane, ``data-pane-scan`` says of which this is: its
link is followed if another one is shown.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from django import template
from django.template.context import Context
from django.utils.html import format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from accessions.people.access import EVERY_ROLE, is_open_to, roles_of_bits
from governance.scans.checking.kinds import Kind
from governance.scans.drawing.kept import problem_of
from governance.scans.models import Scan, ScanMark
from governance.scans.pane import boxes_text, page_words, pane_of
from governance.scans.queries.one_scan import mark_words, standing_marks
from governance.scans.queries.pages import missing_pages, pages_with_words
from governance.scans.queries.visible import disposed_words, opens

register = template.Library()

_KIND_WORDS: dict[str, Any] = {
    Kind.PDF: _lazy("PDF"),
    Kind.JPEG: _lazy("Picture (JPEG)"),
    Kind.PNG: _lazy("Picture (PNG)"),
    Kind.TIFF: _lazy("Picture (TIFF)"),
    Kind.HEIC: _lazy("Picture (HEIC)"),
    Kind.MAIL: _lazy("Mail"),
    Kind.OUTLOOK: _lazy("Mail (Outlook)"),
    Kind.DOCX: _lazy("Document (DOCX)"),
    Kind.TEXT: _lazy("Text"),
}


@register.inclusion_tag("scans/_pane.html", takes_context=True)
def scan_pane(context: Context, scan: Scan, first: int | None = None, last: int | None = None,
              page: int | None = None, marks: Sequence[Sequence[float]] = ()) -> dict[str, Any]:  # fmt: skip
    """The reading pane. Two queries, or one if the scan has pages that are drawn and its marks were prefetched."""
    request = context["request"]
    shared = {"scan": scan, "user": request.user, "request": request, "form_address": context.get("form_address", "")}
    if not opens(request.user, scan):
        return shared | {"is_closed": True}
    if scan.disposed_on is not None:
        return shared | {"disposed": disposed_words(scan)}
    if not scan.page_count:
        return shared | {"pages": pages_with_words(scan)}
    pane = pane_of(scan, request.GET, first=first, last=last, page=page, marks=marks)
    return shared | {
        "pane": pane,
        "problem": problem_of(scan.sha256, pane.page),
        "missing": missing_pages(scan, pane.first, pane.last),
        "words": page_words(pane.page, scan.page_count),
    }


@register.filter
def boxes(marks: Sequence[Sequence[float]]) -> str:
    """Boxes as ``data-pane-mark`` holds them."""
    return boxes_text([tuple(box) for box in marks])  # type: ignore[misc]


@register.simple_tag(takes_context=True)
def scan_name(context: Context, scan: Scan) -> str:
    """The name of a scan, or to whom it is open if not to the reader."""
    if is_open_to(context["request"].user, scan.open_to):
        return scan.original_name
    return restricted_words(scan)


@register.filter
def is_open(scan: Scan, user: Any) -> bool:
    """``{% if scan|is_open:user %}``: whether the reader may open it."""
    return is_open_to(user, scan.open_to)


@register.filter
def restricted_words(scan: Scan) -> str:
    """``Restricted: open to registrar, compliance officer``."""
    roles = ", ".join(str(role.label).lower() for role in roles_of_bits(scan.open_to))
    return _("Restricted: open to %(roles)s") % {"roles": roles} if roles else _("Restricted: open to nobody")


@register.inclusion_tag("scans/_marks.html", takes_context=True)
def scan_marks(context: Context, scan: Scan) -> dict[str, Any]:
    """What was noted about a scan, as words. One query, unless ``one_scan.STANDING_MARKS`` was prefetched."""
    user = context["request"].user
    return {"marks": [(mark, mark_words(mark, user)) for mark in standing_marks(scan)]}


@register.simple_tag(takes_context=True)
def mark_text(context: Context, mark: ScanMark) -> str:
    """One mark as words: ``Translation of permit.pdf``."""
    return mark_words(mark, context["request"].user)


@register.simple_tag
def missing_in(scan: Scan) -> str:
    """Pages that the scan should hold by its printed page numbers, as a sentence."""
    return missing_pages(scan)


@register.filter
def kind_words(scan: Scan) -> str:
    """``PDF``, ``Photograph or picture (JPEG)``."""
    return str(_KIND_WORDS.get(scan.media_type, scan.media_type))


@register.filter
def is_restricted(scan: Scan) -> bool:
    """Whether it is not open to everybody."""
    return scan.open_to != EVERY_ROLE


@register.simple_tag
def keys_of(scans: Iterable[Scan]) -> list[int]:
    """The primary keys of scans."""
    return [scan.pk for scan in scans]


@register.simple_tag
def all_words(pages: Sequence[Any]) -> SafeString:
    """The words of pages as paragraphs, escaped."""
    return format_html_join("\n", '<div class="page-words" dir="auto">{}</div>', ((page.text,) for page in pages))
