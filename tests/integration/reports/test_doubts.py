"""What a report must not take for certain: tissue is not taken in the field, a site in words may be the owner's."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from accessions.material.models import Accession, PoolMember, SamplingEvent
from accessions.sites.models import SiteTenure
from governance.papers.models import PaperKind, PaperStatus
from tests.factories import register
from tests.factories.composed import composed, notes, rows, value

pytestmark = pytest.mark.django_db
YEAR: dict[str, Any] = {"period_from": date(2024, 1, 1), "period_to": date(2024, 12, 31)}


@pytest.fixture
def permit() -> Any:
    """A permit of 2024 for an accession."""
    made = register.paper(issued_on=date(2024, 1, 1))
    register.version(made, "2024-01-01", "2024-12-31")
    register.link(made, accession=register.accession("LMN-8"))
    return made


def here() -> Accession:
    """The accession of the permit."""
    return Accession.objects.get(number="LMN-8")


def old_specimen() -> Any:
    """Of another accession, taken in 1999."""
    return register.specimen("PAR", accession=register.accession("LMN-9"), event=register.event("E1", "1999-06-17"))


def test_a_leg_of_an_older_specimen_was_not_taken_in_the_field(permit: Any) -> None:
    """One leg, imported alone: 0 individuals taken. That nothing was is not told: the specimen is elsewhere."""
    parent = old_specimen()
    register.specimen("LEG", accession=here(), parent=parent, kind="part",
                      event=register.event("E2", "2024-06-17"))  # fmt: skip
    made = composed("agency", paper=permit, **YEAR)
    assert rows(made, "taken", "taken") == [] and value(made, "taken") == "0"
    assert notes(made)["from_specimens"] == {"n": 1}
    assert value(made, "nil_return") == "cannot-tell"


def test_a_pool_of_specimens_was_not_taken_in_the_field(permit: Any) -> None:
    pool = register.specimen("POOL", accession=here(), event=register.event("E2", "2024-06-17"))
    PoolMember.objects.create(pool=pool, member=old_specimen())
    made = composed("agency", paper=permit, **YEAR)
    assert value(made, "taken") == "0" and notes(made)["from_specimens"] == {"n": 1}
    assert value(made, "nil_return") == "cannot-tell"


def test_a_leg_beside_its_specimen_is_told_apart(permit: Any) -> None:
    """Both under the permit: the specimen counts as 1, the leg is told in words."""
    parent = register.specimen("PAR", accession=here(), event=register.event("E1", "2024-06-17"))
    register.specimen("LEG", accession=here(), parent=parent, kind="part", event=register.event("E2", "2024-06-18"))
    made = composed("agency", paper=permit, **YEAR)
    assert value(made, "taken") == "1" and notes(made)["from_specimens"] == {"n": 1}


@pytest.mark.parametrize(
    ("written", "day", "doubts"),
    [
        ("GE-NAZ-1", "2024-06-17", 1), ("ge-naz-1 upper", "2024-06-17", 1), ("Upper  MEADOW", "2024-06-17", 1),
        ("GE-NAZ-1", "", 1), ("GE-NAZ-10", "2024-06-17", 0), ("Upper meadow of the mill", "2024-06-17", 0),
        ("GE-NAZ-1", "2023-06-17", 0), ("GE-NAZ-1", "2024-01-31", 0),
    ],
)  # fmt: skip
def test_a_site_in_words_may_be_of_the_owner(written: str, day: str, doubts: int) -> None:
    """Its code as a word, or its whole name: counted and not listed. Not before the period, nor before the tenure."""
    site, owner = register.site("GE-NAZ-1", name="Upper meadow"), register.agent("Tamar Lomidze")
    SiteTenure.objects.create(site=site, agent=owner, held_from=date(2024, 2, 1))
    event = register.event("E1", day)
    SamplingEvent.objects.filter(pk=event.pk).update(site=None, site_name=written)
    register.specimen("A", event=event)
    made = composed("landowner", agent=owner, **YEAR)
    assert rows(made, "material", "specimen") == []
    assert rows(made, "unknown", "question") == [("site",)] * doubts
    told = notes(made)
    assert told.get("unknown_site") == ({"n": doubts} if doubts else None)
    assert ("nothing_found" in told, "nothing_certain" in told) == (not doubts, bool(doubts))


@pytest.mark.parametrize(
    ("reference", "first", "suspended", "state"),
    [
        ("ABSCH-IRCC-GE-1-1", "2024-06-17", False, "not-needed"), ("ABSCH-IRCC-GE-1-1", "2024-06-18", False, "on-file"),
        ("ABSCH-IRCC-GE-1-1", "2030-01-01", False, "on-file"), ("ABSCH-IRCC-GE-1-1", "2020-01-01", True, "on-file"),
        ("ABSCH-IRCC-GE-1-1", "", False, "on-file"), ("GE 1/2024", "2020-01-01", False, "on-file"),
    ],
)  # fmt: skip
def test_only_a_certificate_that_stands_stands_in(reference: str, first: str, suspended: bool, state: str) -> None:
    """Taken on 17 June 2024: begun on that day, the day after, in 2030; suspended; no version read; another number."""
    accession = register.accession()
    register.specimen(accession=accession, event=register.event(day="2024-06-17"))
    paper = register.paper(reference, kind=PaperKind.CERTIFICATE_OF_COMPLIANCE)
    if first:
        register.version(paper, first, None)
    if suspended:
        PaperStatus.objects.create(paper=paper, state="suspended", from_on=date(2021, 1, 1))
    register.link(paper, accession=accession)
    told = dict(rows(composed("diligence", accession=accession), "fields", "field", "state"))
    assert told["date_of_access"] == state
