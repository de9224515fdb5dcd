"""How many queries a report costs: as many for nine specimens, events and names as for one."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from accessions.material.models import Accession
from accessions.sites.models import SiteTenure
from governance.engine.tables import Layer
from governance.engine.uses import Said, Use
from governance.papers.models import PaperKind, VersionCap
from tests.factories import register
from tests.factories.composed import composed
from tests.factories.usedesk import made_use, recipient, use_term

pytestmark = pytest.mark.django_db


def grow(accession: Accession, site: Any, number: int) -> None:
    """A specimen with a name and an event of its own, lent, and under terms of its own."""
    name = register.written_name(f"Calopteryx species{number}", rank="species", genus="Calopteryx")
    one = register.specimen(accession=accession, event=register.event(site=site), name=name)
    made_use(one, recipient=recipient())
    made_use(one, deed="imaging", commercial="yes")
    terms = register.paper(f"MAT-{number}", (Layer.ACCESS,), kind=PaperKind.MUTUALLY_AGREED_TERMS)
    use_term(register.version(terms), Use.IMAGING, Said.ALLOWED)
    register.link(terms, specimen=one)


@pytest.mark.parametrize("kind", ["agency", "landowner", "diligence", "certificate"])
def test_queries_do_not_grow_with_the_material(kind):
    accession, site, owner = register.accession(), register.site(), register.agent("Tamar Lomidze")
    SiteTenure.objects.create(site=site, agent=owner)
    permit = register.paper()
    VersionCap.objects.create(version=register.version(permit), limit=20, each="species")
    register.link(permit, accession=accession)
    about = {"landowner": {"agent": owner}, "diligence": {"accession": accession}}.get(kind, {"paper": permit})
    costs = []
    for numbers in (range(1), range(1, 9)):
        for number in numbers:
            grow(accession, site, number)
        with CaptureQueriesContext(connection) as queries:
            composed(kind, **about)
        costs.append(len(queries))
    assert costs[0] == costs[1]
    assert costs[1] < 80
