"""Places that a record itself keeps back, whoever reads the report: the record says that information is withheld."""

from __future__ import annotations

from collections.abc import Collection

from accessions.material.models import SamplingEvent, Specimen
from governance.usedesk.queries.material import with_taken


def withheld(keys: Collection[int]) -> frozenset[int]:
    """Those of some specimens whose record withholds something, with what was taken from them or pooled of them."""
    events = SamplingEvent.objects.exclude(information_withheld="").order_by().values("pk")
    own = set(Specimen.objects.filter(event__in=events).order_by().values_list("pk", flat=True)).intersection(keys)
    return frozenset(with_taken(own).intersection(keys)) if own else frozenset()
