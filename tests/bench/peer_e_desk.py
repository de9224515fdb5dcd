"""Peer E, the script that a practitioner would write: read all, go specimen by specimen, take the strictest.

It knows no silence by house rule, no footing, no inheritance and no way there; it gives a word and no reason.
"""

from __future__ import annotations

from collections import defaultdict
from datetime import date

from governance.papers.models import PaperLink, PaperVersion, UseTerm
from governance.usedesk.models import RequestItem, UseRequest

ALLOWED, WITH_DUTIES, ASK, NO, SILENT = range(5)
_STRICT = {ALLOWED: 0, WITH_DUTIES: 1, ASK: 2, SILENT: 3, NO: 5}
UNREAD = 4


def answer(request: UseRequest) -> dict[int, int]:
    """By specimen the strictest word, 0 to 5 as the desk has them; no paper at all is silence."""
    links: dict[tuple[str, int], set[int]] = defaultdict(set)
    everywhere = set()
    for link in PaperLink.objects.filter(unlinked_at__isnull=True):
        if link.all_accessions:
            everywhere.add(link.paper_id)
        for kind in ("accession", "part", "site", "event", "specimen"):
            key = getattr(link, f"{kind}_id")
            if key is not None:
                links[kind, key].add(link.paper_id)
    version_of = _versions(request.asked_on)
    terms: dict[tuple[int, int], int] = {}
    for term in UseTerm.objects.filter(version__in=version_of.values()):
        terms[term.version_id, term.use] = term.said
    found = {}
    for item in RequestItem.objects.filter(request=request).select_related("specimen__event"):
        one = item.specimen
        papers = everywhere | links["accession", one.accession_id] | links["event", one.event_id]
        papers |= links["part", one.part_id] | links["site", one.event.site_id] | links["specimen", one.pk]
        word = 0 if papers else _STRICT[SILENT]
        for paper in papers:
            for use in request.use_list:
                said = terms.get((version_of.get(paper, 0), int(use)))
                word = max(word, UNREAD if said is None else _STRICT[said])
        found[one.pk] = word
    return found


def _versions(day: date) -> dict[int, int]:
    found = {}
    for version in PaperVersion.objects.filter(in_force_from__lte=day).order_by("in_force_from"):
        found[version.paper_id] = version.pk
    return found
