"""The columns by which lists filter and sort say what the specimen, its event and the decisions of people say."""

from __future__ import annotations

from datetime import date

import pytest

from accessions.sites.models import Site
from governance.engine.tables import Layer, Verdict
from governance.verdicts.standing_columns import cells_of, fill_columns, mask_of, strip_of
from tests.factories import register
from tests.factories.verdicts import judged, overruled

pytestmark = pytest.mark.django_db


def test_facts_are_repeated_from_specimen_event_and_accession() -> None:
    accession = register.accession("LMN-2019-112")
    part = register.part(accession, "B")
    site: Site = register.site("GE-NAZ-1")
    event = register.event(day="2019-08-14", site=site, latest_on=date(2019, 8, 16))
    standing = judged(register.specimen("LMN-1", accession=accession, part=part, event=event, kind="lot"))
    assert (standing.accession_key, standing.accession_number) == (accession.pk, "LMN-2019-112")
    assert (standing.part_key, standing.site_key) == (part.pk, site.pk)
    assert (standing.catalog_number, standing.kind, standing.country) == ("LMN-1", "lot", "GE")
    assert (standing.first_on, standing.last_on) == (date(2019, 8, 14), date(2019, 8, 16))


def test_cells_hold_one_bit_a_layer() -> None:
    """Land outside (4) is bit 4; collecting covered (0) is bit 6; transfer missing (5) is bit 8 * 6 + 5 = 53."""
    standing = judged(register.specimen("LMN-1"), "401111115")
    assert standing.cells & 1 << 4
    assert standing.cells & 1 << 6
    assert standing.cells & 1 << 53
    assert standing.cells.bit_count() == 9
    assert strip_of(standing.cells) == "401111115"


def test_a_mask_is_the_bits_of_all_pairs() -> None:
    assert mask_of([0, 1], [4]) == 2**4 + 2**10
    assert cells_of([0] * 9) & mask_of(range(9), [1, 2, 3, 4, 5]) == 0
    assert strip_of(0) == ""


def test_a_decision_is_laid_over_the_computed_verdict_and_taken_off_again() -> None:
    specimen = register.specimen("LMN-1")
    judged(specimen, "411111112")
    decision = overruled(specimen, Layer.LAND, Verdict.COVERED)
    specimen.standing.refresh_from_db()
    assert (specimen.standing.worst, specimen.standing.is_overruled) == (Verdict.CANNOT_TELL, True)
    assert strip_of(specimen.standing.cells) == "011111112"
    decision.delete()
    fill_columns("SELECT id FROM material_specimen WHERE catalog_number = %s", ["LMN-1"])
    specimen.standing.refresh_from_db()
    assert (specimen.standing.worst, specimen.standing.is_overruled) == (Verdict.OUTSIDE, False)
    assert strip_of(specimen.standing.cells) == "411111112"


def test_changed_facts_are_filled_again_and_only_for_those_asked_for() -> None:
    one, other = register.specimen("LMN-1"), register.specimen("LMN-2")
    judged(one)
    judged(other)
    type(one).objects.update(kind="bulk")
    fill_columns("%s", [one.pk])
    one.standing.refresh_from_db()
    other.standing.refresh_from_db()
    assert (one.standing.kind, other.standing.kind) == ("bulk", "specimen")
