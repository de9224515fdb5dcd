"""What is in the file of an accession so far, for the path of its delivery."""

from __future__ import annotations

from django import template
from django.db.models import Q
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.material.models import Accession
from governance.papers.queries.links import standing
from governance.scans.models import Filing

register = template.Library()


@register.simple_tag
def arrival_papers(accession: Accession) -> SafeString:
    """How many papers are linked and scans filed: two queries."""
    of_it = Q(accession=accession) | Q(part__accession=accession)
    papers = standing().filter(of_it).order_by().values("paper").distinct().count()
    scans = Filing.objects.filter(accession=accession, taken_off_at__isnull=True).count()
    if not papers and not scans:
        return format_html('<p class="muted small">{}</p>', _("No paper is linked and no scan is filed yet."))
    words = [
        ngettext("%(n)d paper linked", "%(n)d papers linked", papers) % {"n": papers},
        ngettext("%(n)d scan filed", "%(n)d scans filed", scans) % {"n": scans},
    ]
    return format_html('<p class="small">{}</p>', ", ".join(words))
