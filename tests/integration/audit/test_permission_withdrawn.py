"""TRADE 7.4, question 27: landowner L withdrew consent on date D; what came after?

Five specimens of a site that L owns: taken on 1 and 30 June 2024, on days that touch 15 June, and on no known day.
Consent LND-2024-117 was withdrawn from 15 June 2024 on, the first day on which it holds no longer.
"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from pytest_django import DjangoAssertNumQueries

from accessions.material.models import Specimen
from accessions.people.models import Agent, Role
from accessions.sites.models import SiteTenure
from governance.audit.asking import UnknownValueError
from governance.engine.tables import Layer
from governance.papers.models import Paper
from governance.usedesk.models import LoanReturn
from tests.factories import register, usedesk
from tests.integration.audit.put import column, links, put
from tests.integration.test_access_sweep import files_of_the_module, files_of_the_test, kept

__all__ = ["files_of_the_module", "files_of_the_test", "kept"]

pytestmark = pytest.mark.django_db


def _one(number: str) -> Specimen:
    return Specimen.objects.get(catalog_number=number)


@pytest.fixture(scope="module")
def register_of_consent(kept: None) -> None:
    owner = register.agent("L. Lagermo")
    site = register.site()
    SiteTenure.objects.create(site=site, agent=owner, held_from=date(2000, 1, 1))
    consent = register.paper("LND-2024-117", (Layer.LAND,), kind="landowner-consent", issuer_agent=owner)
    register.version(consent, "2024-01-01", "2024-12-31")
    consent.statuses.create(state="withdrawn", from_on=date(2024, 6, 15))
    night = {"event_date": "2024-06-14/2024-06-15", "latest_on": date(2024, 6, 15), "reading": "run"}
    for number, event in {
        "LMN-1": register.event("1", "2024-06-01", site=site),
        "LMN-2": register.event("2", "2024-06-30", site=site),
        "LMN-3": register.event("3", "2024-06-14", site=site, **night),
        "LMN-4": register.event("4", "", site=site),
        "LMN-5": register.event("5", "2024-06-15", site=site),
    }.items():
        register.specimen(number, event=event)
    register.specimen("LMN-1-leg", kind="part", parent=_one("LMN-1"), event=_one("LMN-1").event)
    register.specimen("LMN-9", accession=register.accession("other"), event=register.event("9", "2024-07-01"))
    register.link(consent, accession=_one("LMN-1").accession)
    back = usedesk.made_use(_one("LMN-2"), on=date(2024, 3, 1), reference="LOAN-1")  # back before: not told
    returned = LoanReturn.objects.create(use=back, on=date(2024, 6, 14), recorded_by=register.person())
    back.items.update(returned=returned)
    usedesk.made_use(_one("LMN-1"), on=date(2024, 5, 1), reference="LOAN-2")  # out on the day, and still
    usedesk.made_use(_one("LMN-1-leg"), on=date(2024, 6, 15), deed="sequencing", reference="SEQ-1")
    usedesk.made_use(_one("LMN-5"), on=date(2025, 2, 1), deed="gift", reference="GIFT-1")
    usedesk.made_use(_one("LMN-9"), on=date(2025, 2, 1), reference="LOAN-9")  # of other material


@pytest.fixture
def withdrawn(register_of_consent: None, db: None) -> None:
    """Made once for all tests."""


def test_what_came_after_a_consent(withdrawn: None) -> None:
    """The day itself counts. Of the five, LMN-5 was given away, LMN-1 is out; here are LMN-2, 3, 4 and the leg."""
    answer = put("consent-withdrawn", paper="LND-2024-117")
    assert column(answer, "what", "when", "record", "specimens") == [
        ("May have been taken after", "14–15 Jun 2024", "LMN-2024-038", 1),
        ("Taken after", "15 Jun 2024", "LMN-2024-038", 1),
        ("Taken after", "30 Jun 2024", "LMN-2024-038", 1),
        ("May have been taken after", "no date", "LMN-2024-038", 1),
        ("Out on loan on that day", "1 May 2024", "LOAN-2", 1),
        ("Sequenced", "15 Jun 2024", "SEQ-1", 1),
        ("Given away", "1 Feb 2025", "GIFT-1", 1),
        ("Still here", "", "LMN-2024-038", 4),
    ]
    assert answer.sentence == (
        "LND-2024-117: consent withdrawn on 15 June 2024. From 15 June 2024 on 2 specimens were taken (of 2 specimens "
        "the day does not tell), and 2 uses were made. 4 specimens are still here; out on loan: 1 specimen."
    )
    assert [one.count for one in answer.missing] == [2]
    assert links(answer, "record")[5].startswith("/desk/uses/")
    assert answer.total == 4  # two specimens and two uses for certain


def test_the_same_of_the_owner(withdrawn: None) -> None:
    """All that was taken at the site on days of the tenure. The one without a day is left out, and is said to be: the
    tenure has a first day, before which it may have been taken."""
    answer = put("consent-withdrawn", agent=Agent.objects.get(name="L. Lagermo").pk)
    assert answer.sentence == (
        "L. Lagermo withdrew consent on 15 June 2024. From 15 June 2024 on 2 specimens were taken (of 1 specimen the "
        "day does not tell), and 2 uses were made. 3 specimens are still here; out on loan: 1 specimen."
    )
    assert [one.count for one in answer.missing] == [1, 1]
    other = put("consent-withdrawn", agent=Agent.objects.get(name="L. Lagermo").pk, day="2024-06-01")
    assert other.sentence.startswith("Sites of L. Lagermo, asked from 1 June 2024 on. From 1 June 2024 on 4 specimens")


def test_another_day(withdrawn: None) -> None:
    answer = put("consent-withdrawn", paper="LND-2024-117", day="2025-03-01")
    assert answer.sentence.startswith(
        "LND-2024-117, asked from 1 March 2025 on. LND-2024-117: consent withdrawn on 15 June 2024. "
        "From 1 March 2025 on nothing was taken for certain (of 1 specimen the day does not tell), and no use of it is "
        "entered."
    )


def test_days_and_names_that_are_not_known(withdrawn: None) -> None:
    other = register.paper("LND-2024-200", (Layer.LAND,))
    owner = Agent.objects.get(name="L. Lagermo")
    second = register.paper("LND-2023-001", (Layer.LAND,), issuer_agent=owner)
    second.statuses.create(state="withdrawn", from_on=date(2023, 1, 1))
    asked: list[tuple[dict[str, Any], str]] = [
        ({"paper": other.reference}, "day"), ({"agent": owner.pk}, "day"), ({"agent": "nobody"}, "agent"),
        ({"paper": other.reference, "agent": owner.pk}, "paper"), ({"paper": "LND-2024-117", "day": "June"}, "day"),
    ]  # fmt: skip
    for told, wrong in asked:
        with pytest.raises(UnknownValueError) as raised:
            put("consent-withdrawn", **told)
        assert raised.value.parameter == wrong, told


def test_queries_do_not_grow_with_material(withdrawn: None, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    register.person(Role.REGISTRAR)

    def asked() -> int:
        with django_assert_num_queries(15):
            return len(put("consent-withdrawn", paper="LND-2024-117").rows)

    assert asked() == 8
    for number in range(20, 24):
        specimen = register.specimen(f"LMN-{number}", event=register.event(str(number), "2024-07-01"))
        usedesk.made_use(specimen, on=date(2024, 8, 1))
    assert asked() == 16
    assert Paper.objects.count() == 1
