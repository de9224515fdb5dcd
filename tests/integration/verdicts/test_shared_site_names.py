"""A name that several sites bear names none of them, so no verdict may be reached by it (decision 3)."""

from __future__ import annotations

from pathlib import Path

import pytest

from accessions.intake.actions import load_file
from accessions.material.models import Specimen
from accessions.people.models import Role
from accessions.sites.actions.sites import create_site
from governance.engine.tables import Layer, Verdict
from governance.papers.models import Paper, VersionPlace
from governance.verdicts.actions import assess, take_up
from governance.verdicts.models import Standing
from tests.factories import register

RIDGE = "Ridge meadow"


def permit_for_the_ridge() -> Paper:
    """It names the site and maps nothing."""
    paper = register.paper()
    VersionPlace.objects.create(version=register.version(paper), site=RIDGE)
    register.rule(register.sheet("GE"))
    return paper


def verdict(specimen: Specimen | None = None) -> Verdict:
    """On a specimen, or on the only one."""
    standing = Standing.objects.get() if specimen is None else Standing.objects.get(pk=specimen.pk)
    return Verdict(int(standing.ruling.strip[Layer.COLLECTING]))


@pytest.mark.django_db
def test_a_boundary_speaks_for_a_name_only_while_one_site_bears_it() -> None:
    """The second site has no boundary: it shares the name all the same, and the paper may mean it."""
    register.boundary(register.site("GE-R-1", name=RIDGE))
    register.link(permit_for_the_ridge(), specimen=register.specimen())
    assess(by=None, why="first")
    assert verdict() == Verdict.COVERED, "by the boundary of the only site of the name"
    create_site(code="GE-R-2", name=RIDGE, country="GE", by=register.person(Role.CURATOR), why="surveyed")
    take_up(by=None)
    assert verdict() == Verdict.CANNOT_TELL


@pytest.mark.django_db
def test_a_site_that_a_file_brings_shares_the_name_too(tmp_path: Path) -> None:
    """Nothing else of the file concerns the specimen: only the mark of the new site leads to it."""
    register.boundary(register.site("GE-R-1", name=RIDGE))
    old = register.specimen()
    register.link(permit_for_the_ridge(), specimen=old)
    assess(by=None, why="first")
    assert verdict() == Verdict.COVERED
    file = tmp_path / "more.csv"
    file.write_text(
        "catalogNumber,scientificName,eventDate,locationID,siteName,countryCode\n"
        f"LMN-1,{old.name.scientific_name},2024-06-17,GE-R-2,{RIDGE},GE\n"
    )
    load_file(file, by=register.person(Role.CURATOR), why="a file", accession_number="LMN-2025-001")
    take_up(by=None)
    assert verdict(old) == Verdict.CANNOT_TELL


@pytest.mark.django_db
def test_standing_at_a_site_of_a_shared_name_is_not_standing_at_the_other() -> None:
    """The record does not write the name; it has no position, and stands at the second of two sites."""
    sites = [register.site(f"GE-R-{n}", name=RIDGE) for n in (1, 2)]
    nowhere = {"decimal_latitude": "", "decimal_longitude": "", "coordinate_uncertainty_m": ""}
    event = register.event("E1", site=sites[1], location_id="GE-R-2", **nowhere)
    register.link(permit_for_the_ridge(), specimen=register.specimen(event=event))
    assess(by=None, why="first")
    assert verdict() == Verdict.CANNOT_TELL
