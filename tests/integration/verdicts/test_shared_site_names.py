"""A name that several sites bear names none of them, so no verdict may be reached by it (decision 3)."""

from __future__ import annotations

import pytest

from accessions.people.models import Role
from accessions.sites.actions.sites import create_site
from governance.engine.tables import Layer, Verdict
from governance.papers.models import Paper, VersionPlace
from governance.verdicts.actions import assess, take_up
from governance.verdicts.models import Standing
from tests.factories import register

RIDGE = "Ridge meadow"


def permit_for_the_ridge() -> Paper:
    """It names the site and maps nothing; the first day lies before the boundary begins to matter."""
    paper = register.paper()
    VersionPlace.objects.create(version=register.version(paper), site=RIDGE)
    register.rule(register.sheet("GE"))
    return paper


def verdict() -> Verdict:
    """On the one specimen."""
    return Verdict(int(Standing.objects.get().ruling.strip[Layer.COLLECTING]))


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
def test_standing_at_a_site_of_a_shared_name_is_not_standing_at_the_other() -> None:
    """The record does not write the name; it has no position, and stands at the second of two sites."""
    sites = [register.site(f"GE-R-{n}", name=RIDGE) for n in (1, 2)]
    nowhere = {"decimal_latitude": "", "decimal_longitude": "", "coordinate_uncertainty_m": ""}
    event = register.event("E1", site=sites[1], location_id="GE-R-2", **nowhere)
    register.link(permit_for_the_ridge(), specimen=register.specimen(event=event))
    assess(by=None, why="first")
    assert verdict() == Verdict.CANNOT_TELL
