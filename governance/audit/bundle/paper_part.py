"""Papers: one page each with all versions, and the scans themselves, byte for byte."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from governance.audit.bundle.frame import Bundle, Part
from governance.audit.bundle.packing import pieces
from governance.papers.lifetimes import Lifetime
from governance.papers.models import Paper, PaperLink, PaperScan
from governance.papers.queries.continuations import Continuation, continuations_of
from governance.papers.queries.exchange_objects import exchange_file
from governance.papers.queries.one_paper import ReadVersion, paper_page
from governance.papers.queries.terms_on_pages import terms_of_versions
from governance.papers.restriction import is_readable, opens, restricted_words
from governance.papers.targets import target_kind, target_words
from governance.scans.models import Filing
from governance.scans.queries.store import open_content
from governance.scans.queries.visible import closed_words
from governance.scans.queries.visible import opens as lets_out
from governance.scans.store import errors_of_the_store

_MOST_LINKS: Final = 1_000
_AT_ONCE: Final = 500
_BEGINNING_BYTES: Final = 1 << 16


def add_papers(bundle: Bundle) -> None:
    """``papers/``: a page for each that the reader may read, and all of them as an exchange file."""
    papers = list(_readable(bundle))
    part = Part(_("Papers"))
    scans = Part(_("Scans"), _("The files themselves, as they were received."))
    bundle.parts += [part, scans] if papers else [scans]
    if papers:
        count = ngettext("%(n)s paper with its versions.", "%(n)s papers with their versions.", len(papers))
        part.words = count % {"n": intcomma(len(papers))}
        bundle.packed.add("papers/papers.json", exchange_file(papers))
        part.tell("papers/papers.json", _("All of them as the exchange file holds papers"))
    for number, paper in enumerate(papers):
        bundle.step(_("Papers"), number, len(papers))
        _add_paper(bundle, part, scans, paper)
    _add_filed(bundle, scans)
    if not scans.members:
        scans.words = _("No scan of what is in this file is here.")


def _readable(bundle: Bundle) -> Iterator[Paper]:
    keys, closed = bundle.subject.papers, 0
    for first in range(0, len(keys), _AT_ONCE):
        found = Paper.objects.in_bulk(keys[first : first + _AT_ONCE])
        for paper in (found[key] for key in keys[first : first + _AT_ONCE] if key in found):
            if opens(paper, bundle.reader):
                yield paper
                continue
            closed += 1
            words = {"number": paper.reference, "words": restricted_words(paper.restricted_to)}
            bundle.left_out.append(_("Paper %(number)s with its scans. %(words)s") % words)
    if closed > 1:
        bundle.left_out.append(_("These are %(n)s papers in all.") % {"n": intcomma(closed)})


def _add_paper(bundle: Bundle, part: Part, scans: Part, paper: Paper) -> None:
    page = paper_page(paper.pk, bundle.on, bundle.reader)
    if page is None or not page.is_readable:
        return
    terms = {one.version.pk: one for one in terms_of_versions(read.version for read in page.versions)}
    filed = PaperScan.objects.filter(paper=paper).select_related("scan", "filed_by", "taken_off_by").order_by("pk")
    context = {
        "paper": paper, "life": page.life, "on": bundle.on, "turns": page.turns,
        "versions": [(read, terms.get(read.version.pk), _binds(read, page.life)) for read in page.versions],
        "continuations": [_continuation(bundle, one) for one in continuations_of(paper, bundle.on)],
        "scans": [(one, _add_scan(bundle, scans, one, paper.reference)) for one in filed],
        **_links(paper),
    }  # fmt: skip
    bundle.papers.append(paper.pk)
    name = bundle.packed.name_for("papers", f"{paper.reference}.html")
    bundle.page(name, "paper", context)
    part.tell(name, f"{paper.reference}, {paper.get_kind_display()}")


def _binds(read: ReadVersion, life: Lifetime) -> bool:
    return life.version is not None and read.version.pk == life.version.pk


def _continuation(bundle: Bundle, one: Continuation) -> tuple[Continuation, bool]:
    """With whether the reader may know by what it is shown: only who may read both papers."""
    return one, all(is_readable(paper, bundle.reader) for paper in (one.row.earlier, one.row.later))


def _links(paper: Paper) -> dict[str, Any]:
    rows = PaperLink.objects.filter(paper=paper).select_related(
        "accession", "part__accession", "site", "event", "specimen", "linked_by", "unlinked_by"
    ).order_by("pk")  # fmt: skip
    told = [(link, target_kind(link), target_words(link)) for link in rows[:_MOST_LINKS]]
    return {"links": told, "more_links": rows.count() - len(told) if len(told) == _MOST_LINKS else 0}


# Scans ----------------------------------------------------------------------------------------------------------------


def _add_filed(bundle: Bundle, part: Part) -> None:
    """Scans in the files of the accessions."""
    keys = bundle.subject.accessions
    for first in range(0, len(keys), _AT_ONCE):
        rows = Filing.objects.filter(accession__in=keys[first : first + _AT_ONCE], taken_off_at__isnull=True)
        for filed in rows.select_related("scan", "accession").order_by("accession__number", "pk"):
            _add_scan(bundle, part, filed, filed.accession.number if filed.accession else "")


def _add_scan(bundle: Bundle, part: Part, filed: Any, of: str) -> str:
    """The name of the member, "" where the scan stays out. Filed twice, it is here once."""
    scan = filed.scan
    if not lets_out(bundle.reader, scan):
        bundle.left_out.append(
            _("A scan filed with %(of)s. %(words)s") % {"of": of, "words": closed_words(scan.open_to)}
        )
        return ""
    if scan.pk in bundle.scans:
        return bundle.scans[scan.pk]
    if scan.disposed_on is not None:
        words = _("The scan “%(name)s” was disposed of on %(day)s; its hash was %(hash)s.")
        told = {"name": filed.name, "day": date_format(scan.disposed_on, "j F Y"), "hash": scan.sha256}
        bundle.not_known.append(words % told)
        return ""
    name = bundle.packed.name_for("scans", f"{scan.pk}-{filed.name or scan.original_name}")
    try:
        content = open_content(scan)
        beginning = content.read(_BEGINNING_BYTES)
    except errors_of_the_store():
        words = _("The store cannot give the scan “%(name)s”; its hash should be %(hash)s.")
        bundle.not_known.append(words % {"name": filed.name, "hash": scan.sha256})
        return ""
    with content:
        found = bundle.packed.add(name, chain([beginning], pieces(content)))
    if found != scan.sha256:
        words = _("The scan “%(name)s” is not as it was received: its hash was %(hash)s. It is here as it is now.")
        bundle.not_known.append(words % {"name": filed.name, "hash": scan.sha256})
    bundle.scans[scan.pk] = name
    part.tell(name, _("%(name)s, filed with %(of)s") % {"name": filed.name, "of": of}, found)
    return name
