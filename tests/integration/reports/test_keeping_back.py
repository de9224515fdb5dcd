"""What a report must not tell: names of private owners wherever they are written, their land, places kept back."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

import pytest

from accessions.material.models import SamplingEvent
from accessions.sites.models import SiteTenure
from governance.papers.models import VersionPlace
from governance.reports.contents import Composed
from tests.factories import duties, register
from tests.factories.composed import composed, everything, rows
from tests.factories.usedesk import made_use
from tests.integration.reports.composing.georgia import YEAR, Georgia, column, make_georgia, note, report_on

pytestmark = pytest.mark.django_db
OWNER = "Karin Zzowner"


@pytest.fixture
def georgia() -> Georgia:
    return make_georgia()


def text_of(made: Composed) -> str:
    return json.dumps([made.contents.as_json(), [list(table.rows) for table in made.tables.values()]])


def consent(of: Georgia, **values: Any) -> Any:
    """The consent of a private person, with the land it is for, on all of the first accession."""
    paper = register.paper("PRIV-1", kind="landowner-consent", issuer=OWNER, **values)
    version = register.version(paper, "2020-01-01", None)
    VersionPlace.objects.create(version=version, position=0, longitude_deg=43.9, latitude_deg=42.0, radius_m=500)
    register.link(paper, accession=of.here)
    return paper


def test_an_owner_is_named_in_no_column(georgia: Georgia) -> None:
    """Citation, depository, receipt, unit and clause number are typed by people, who may write the name there."""
    consent(georgia)
    made_use(georgia.three, deed="publication", on=date(2025, 3, 1), citation=f"Flies of the meadow of {OWNER}")
    on = date(2025, 3, 3)
    duties.deposit(depository=f"House of {OWNER}", on=on, receipt=f"by {OWNER}", receipt_on=on)
    promise = duties.promise(unit=f"walks with {OWNER}", clause_number=f"{OWNER} 3")
    duties.given(promise, unit=f"walks with {OWNER}", on=on)
    made = report_on(**YEAR)
    assert [len(made.tables[key].rows) for key in ("publications", "deposits", "promises", "given")] == [1, 1, 1, 1]
    assert "Zzowner" not in text_of(made)


def test_an_owner_is_not_named_by_the_number_of_the_permit() -> None:
    """The subject of a report is named on each of its pages."""
    site = register.site()
    SiteTenure.objects.create(site=site, agent=register.agent(OWNER))
    paper = register.paper(f"Letter of {OWNER}", issued_on=date(2024, 1, 1), second_number=f"{OWNER} 2")
    register.version(paper, "2024-01-01", "2024-12-31")
    year: dict[str, Any] = {"period_from": date(2024, 1, 1), "period_to": date(2024, 12, 31)}
    assert "Zzowner" not in everything(composed("agency", paper=paper, **year))
    assert "Zzowner" not in text_of(report_on(paper=paper, **year))
    for kind in ("certificate", "diligence"):
        assert "Zzowner" not in everything(composed(kind, paper=paper)), kind


def test_the_land_of_a_private_person_is_not_on_the_map_of_a_country(georgia: Georgia) -> None:
    """It is on the map of a report on their own paper."""
    paper = consent(georgia)
    made = report_on(**YEAR)
    kept = note(made, "kept_places")
    assert made.contents.map is not None and made.contents.map.areas == ()
    assert kept is not None and kept.values == {"n": 1}
    own = report_on(paper=paper, **YEAR)
    assert own.contents.map is not None and len(own.contents.map.areas) == 1


def test_a_place_that_the_record_withholds_is_in_no_report(georgia: Georgia) -> None:
    """Nor is that of the leg, which came from there, though its own record withholds nothing."""
    SamplingEvent.objects.filter(pk=georgia.three.event_id).update(information_withheld="nest site")
    made = report_on()
    places = column(made, "material", "specimen", "site", "locality", "latitude_deg", "longitude_deg")
    assert [row[0] for row in places if row[1:] == (None,) * 4] == ["A1", "A2", "B1"]
    assert "GE-NAZ-1" not in text_of(made)


def test_the_return_of_a_permit_names_no_site_that_is_withheld() -> None:
    paper = register.paper(issued_on=date(2024, 1, 1))
    register.version(paper, "2024-01-01", "2024-12-31")
    register.link(paper, accession=register.accession())
    site = register.site("GE-DEN-1", name="Zzden")
    register.specimen(event=register.event(day="2024-06-17", site=site, information_withheld="nest site"))
    made = composed("agency", paper=paper, period_from=date(2024, 1, 1), period_to=date(2024, 12, 31))
    assert rows(made, "taken", "taken", "sites") == [(1, "")]
    assert "Zzden" not in everything(made)
