"""What people did to the legal file: papers linked and taken off, searches, decisions, records of title."""

from __future__ import annotations

from collections.abc import Iterator

from django.db.models import Q
from django.utils.translation import gettext as _

from accessions.material.models import Accession
from accessions.people.changes import Change, changes_of, newest_first
from governance.papers.models import PaperLink, TitleRecord
from governance.papers.targets import target_words
from governance.verdicts.models import LayerDecision, Search

_MOST_LINKS = 100


def file_history(accession: Accession) -> list[Change]:
    """Newest first: four queries."""
    return newest_first(
        list(_links(accession)),
        changes_of(Search, accession_id=accession.pk),
        changes_of(LayerDecision, _("decision"), accession_id=accession.pk),
        changes_of(TitleRecord, accession_id=accession.pk),
    )


def _links(accession: Accession) -> Iterator[Change]:
    links = PaperLink.objects.filter(Q(accession=accession) | Q(part__accession=accession))
    rows = links.select_related("paper", "accession", "part__accession", "linked_by", "unlinked_by")
    for link in rows.order_by("-linked_at", "-pk")[:_MOST_LINKS]:
        what = f"{link.paper.reference}: {target_words(link)}"
        by = link.linked_by.shown_name if link.linked_by else _("the register")
        yield Change(link.linked_at, by, _("linked"), what, link.why, ())
        if link.unlinked_at:
            by = link.unlinked_by.shown_name if link.unlinked_by else _("the register")
            yield Change(link.unlinked_at, by, _("taken off"), what, link.unlinked_why, ())
