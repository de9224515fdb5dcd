"""Records that write a site in words and are not linked to it: whether they are of it is not known."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Collection

from django.db.models import Q, QuerySet

from accessions.material.models import SamplingEvent
from accessions.sites.models import Site
from governance.engine.tables import fold
from governance.usedesk.queries.material import among

_WORD_BREAKS = re.compile(r"[\s,;:/()]+")


def written_sites(sites: Collection[int]) -> tuple[QuerySet[SamplingEvent], dict[str, list[int]]]:
    """Records that name some of these sites in words alone, and by the words which sites these may be: two queries. The
    whole text is a site's name or code, or the code is one of its words."""
    names: dict[str, set[int]] = defaultdict(set)
    codes: dict[str, set[int]] = defaultdict(set)
    for pk, code, name in Site.objects.filter(among("pk", sites)).order_by().values_list("pk", "code", "name"):
        if name.strip():
            names[fold(name)].add(pk)
        if code.strip():
            codes[fold(code)].add(pk)
    rows = SamplingEvent.objects.filter(site__isnull=True).exclude(site_name="").order_by()
    found: dict[str, list[int]] = {}
    for text in rows.values_list("site_name", flat=True).distinct():
        words = {fold(word) for word in _WORD_BREAKS.split(text) if word}
        meant = names.get(fold(text), set()) | codes.get(fold(text), set())
        meant = meant.union(*(codes[word] for word in words & codes.keys()))
        if meant:
            found[text] = sorted(meant)
    return rows.filter(Q(site_name__in=list(found))), found
