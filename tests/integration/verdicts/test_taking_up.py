"""After any change the verdicts that follow it are those of a full assessment."""

from __future__ import annotations

from typing import Any
from unittest.mock import patch

import pytest
from django.db import transaction
from hypothesis import given, settings
from hypothesis import strategies as st

from accessions.material.actions.removing import remove_specimen
from accessions.material.models import Accession, Specimen, Touch
from accessions.material.queries.removing import in_the_way
from accessions.material.touches import Scope, touch
from accessions.people.models import Role
from accessions.sites.models import Site
from governance.engine.tables import Layer
from governance.papers.models import (
    Paper,
    PaperLink,
    PaperStatus,
    PaperVersion,
    VersionCap,
    VersionPlace,
    VersionTaxon,
)
from governance.verdicts import selecting
from governance.verdicts.actions import assess, take_up
from governance.verdicts.models import CountrySheet, HouseRuleSet, Result, Search, SheetRule, Standing
from tests.factories import register

DAYS = ("2024-05-20", "2024-06-17", "2024-07-02", "2024-06", "")
TAXA = ("Calopteryx splendens", "Calopteryx virgo", "Gomphus vulgatissimus")


def small_register() -> None:
    """Two accessions with a part, two sites, four papers of which two have caps, eight specimens."""
    accessions = [register.accession(f"LMN-2024-{n:03}") for n in (1, 2)]
    part = register.part(accessions[0])
    sites = [register.site(f"GE-NAZ-{n}", name=f"Nazvri {n}") for n in (1, 2)]
    register.boundary(sites[0])
    events = [
        register.event(f"E{n}", "", event_date=day, site=site, location_id=site.code if site else "")
        for n, (day, site) in enumerate(zip(DAYS, (*sites, None, None, sites[0]), strict=True))
    ]
    names = [register.written_name(TAXA[0], family="Calopterygidae"), register.written_name(TAXA[1])]
    for n in range(8):
        register.specimen(
            accession=accessions[n % 2], part=part if n == 4 else None, event=events[n % 5], name=names[n % 2]
        )
    papers = [register.paper(f"COL-{n}", (Layer.COLLECTING,)) for n in range(4)]
    versions = [register.version(paper) for paper in papers]
    VersionPlace.objects.create(version=versions[0], site=sites[0].code)
    VersionTaxon.objects.create(version=versions[1], name="Calopterygidae")
    VersionCap.objects.create(version=versions[2], limit=1)
    VersionCap.objects.create(version=versions[3], limit=2, each="species", per="site")
    register.link(papers[0], accession=accessions[0])
    register.link(papers[1], part=part)
    register.link(papers[2], event=events[1])
    register.link(papers[3], site=sites[1])
    register.rule(register.sheet("GE"))


def pick(model: Any, draw: st.DataObject) -> Any:
    """One row of a model."""
    keys = list(model.objects.order_by("pk").values_list("pk", flat=True))
    return model.objects.get(pk=draw.draw(st.sampled_from(keys))) if keys else None


def amend(draw: st.DataObject) -> None:
    version = pick(PaperVersion, draw)
    version.in_force_to = draw.draw(st.sampled_from([None, "2024-05-31", "2024-06-30", "2024-12-31"]))
    version.save()
    touch(Scope.PAPER, [version.paper_id], by=None, why="amended")


def limit_taxa(draw: st.DataObject) -> None:
    version = pick(PaperVersion, draw)
    VersionTaxon.objects.create(version=version, name=draw.draw(st.sampled_from(["Calopteryx", "Odonata", *TAXA])))
    touch(Scope.PAPER, [version.paper_id], by=None, why="taxa limited")


def cap(draw: st.DataObject) -> None:
    version = pick(PaperVersion, draw)
    found = VersionCap.objects.filter(version=version).first()
    if found:
        found.delete()
    else:
        VersionCap.objects.create(
            version=version,
            limit=draw.draw(st.integers(0, 3)),
            each=draw.draw(st.sampled_from(["together", "species"])),
            per=draw.draw(st.sampled_from(["paper", "year", "site", "event"])),
        )
    touch(Scope.PAPER, [version.paper_id], by=None, why="cap changed")


def suspend(draw: st.DataObject) -> None:
    paper = pick(Paper, draw)
    PaperStatus.objects.create(paper=paper, state="suspended", from_on="2024-06-15", to_on="2024-06-20")
    touch(Scope.PAPER, [paper.pk], by=None, why="suspended")


def link(draw: st.DataObject) -> None:
    paper = pick(Paper, draw)
    target, model = draw.draw(st.sampled_from([("accession", Accession), ("site", Site), ("specimen", Specimen)]))
    row = pick(model, draw)
    if row and not PaperLink.objects.filter(paper=paper, unlinked_at=None, **{target: row}).exists():
        register.link(paper, **{target: row})
        touch(Scope.PAPER, [paper.pk], by=None, why="linked")


def unlink(draw: st.DataObject) -> None:
    found = pick(PaperLink, draw)
    if found.unlinked_at is None:
        found.unlinked_at = "2026-01-01T00:00Z"
        found.save()
        touch(Scope.PAPER, [found.paper_id], by=None, why="unlinked")


def move_boundary(draw: st.DataObject) -> None:
    site = pick(Site, draw)
    site.boundaries.all().delete()
    first = draw.draw(st.sampled_from([None, "2024-06-01", "2024-06-18"]))
    register.boundary(site, held_from=first, radius_m=draw.draw(st.sampled_from([10.0, 500.0, 20_000.0])))
    touch(Scope.SITE, [site.pk], by=None, why="boundary changed")


def rename_site(draw: st.DataObject) -> None:
    site = pick(Site, draw)
    site.name_key = site.name = draw.draw(st.sampled_from(["nazvri 1", "nazvri 2", "upper bridge"]))
    site.save()
    touch(Scope.SITE, [site.pk], by=None, why="site renamed")


def determine(draw: st.DataObject) -> None:
    specimen = pick(Specimen, draw)
    family = draw.draw(st.sampled_from(["", "Calopterygidae", "Gomphidae"]))
    order = draw.draw(st.sampled_from(["", "Odonata"]))
    specimen.name = register.written_name(draw.draw(st.sampled_from(TAXA)), family=family, order=order)
    specimen.save()
    touch(Scope.SPECIMEN, [specimen.pk], by=None, why="determined anew")
    touch(Scope.NAMES, by=None, why="names came in")


def change_rule(draw: st.DataObject) -> None:
    sheet = CountrySheet.objects.get()
    SheetRule.objects.all().delete()
    register.rule(sheet, draw.draw(st.sampled_from([Layer.COLLECTING, Layer.LAND])), draw.draw(st.booleans()))
    touch(Scope.COUNTRY, [sheet.pk], by=None, why="rule changed")


def change_house(draw: st.DataObject) -> None:
    rules = HouseRuleSet.objects.get_or_create(pk=1)[0]
    rules.assumed_radius_m = draw.draw(st.sampled_from([None, 10.0, 5000.0]))
    rules.save()
    touch(Scope.ALL, by=None, why="house rules changed")


def add(draw: st.DataObject) -> None:
    made = register.specimen(accession=pick(Accession, draw), count_low=2, count_high=3)
    touch(Scope.SPECIMEN, [made.pk], by=None, why="added")


def remove(draw: st.DataObject) -> None:
    specimen = pick(Specimen, draw)
    if not in_the_way([specimen.pk]):
        remove_specimen(specimen, by=register.person(Role.REGISTRAR), why="removed")


def move(draw: st.DataObject) -> None:
    specimen = pick(Specimen, draw)
    specimen.accession, specimen.part = pick(Accession, draw), None
    specimen.save()
    touch(Scope.SPECIMEN, [specimen.pk], by=None, why="moved")


def renumber_event(draw: st.DataObject) -> None:
    event = pick(Specimen, draw).event
    event.number = draw.draw(st.sampled_from(["", "E1", "E9"]))
    event.site = draw.draw(st.sampled_from([None, *Site.objects.order_by("pk")]))
    event.save()
    touch(Scope.EVENT, [event.pk], by=None, why="event corrected")


def search(draw: st.DataObject) -> None:
    accession = pick(Accession, draw)
    Search.objects.create(
        accession=accession, layer=draw.draw(st.sampled_from([1, 5])), state=draw.draw(st.integers(0, 2)),
        searched_on="2025-01-01", searched_by="N. Ek",
    )  # fmt: skip
    touch(Scope.ACCESSION, [accession.pk], by=None, why="searched")


CHANGES = (
    amend, limit_taxa, cap, suspend, link, unlink, move_boundary, rename_site, determine, change_rule, change_house,
    add, remove, move, renumber_event, search,
)  # fmt: skip


def stored_results() -> set[tuple[int, ...]]:
    return set(Result.objects.values_list("pk", "run_id", "specimen_id", "ruling_id", "event_id", "name_id"))


@pytest.mark.django_db
@given(draw=st.data(), changes=st.lists(st.sampled_from(CHANGES), min_size=1, max_size=5))
@settings(max_examples=25)
def test_what_follows_a_change_is_what_a_full_assessment_finds(draw: st.DataObject, changes: list[Any]) -> None:
    """The share above which all is read is put out of reach: a small register would never be judged in part."""
    with transaction.atomic(), patch.object(selecting, "WHOLE_SHARE", 2.0):
        small_register()
        assess(by=None, why="first")
        for change in changes:
            before = stored_results()
            if not Specimen.objects.exists():
                break
            change(draw)
            take_up(by=None)
            assert before <= stored_results(), "results are only added"
            assert not Touch.objects.exists()
            full = assess(by=None, why="full")
            assert full.changed == 0, f"{change.__name__} left {full.changed} verdicts behind"
            assert Standing.objects.count() == Specimen.objects.count() == full.judged
        transaction.set_rollback(True)


@pytest.fixture
def in_parts(monkeypatch: pytest.MonkeyPatch) -> None:
    """A small register would otherwise be read whole."""
    monkeypatch.setattr(selecting, "WHOLE_SHARE", 2.0)


def permit(reference: str, **target: Any) -> Paper:
    paper = register.paper(reference)
    register.version(paper)
    register.link(paper, **target)
    return paper


@pytest.mark.django_db
@pytest.mark.usefixtures("in_parts")
def test_a_new_name_touches_the_names_that_it_places() -> None:
    """Calopteryx virgo without a family could not be told; a record that places the genus in Calopterygidae settles it.

    The name that no paper reads otherwise than before, Gomphus, is not looked at.
    """
    accession = register.accession()
    virgo = register.specimen(accession=accession, name=register.written_name("Calopteryx virgo"))
    register.specimen(accession=accession, name=register.written_name("Gomphus vulgatissimus", family="Gomphidae"))
    paper = permit("COL-1", accession=accession)
    VersionTaxon.objects.create(version=paper.versions.get(), name="Calopterygidae")
    register.rule(register.sheet("GE"))
    assess(by=None, why="first")
    assert Standing.objects.get(specimen=virgo).worst == 2
    named = register.written_name("Calopteryx splendens", family="Calopterygidae")
    new = register.specimen(accession=accession, name=named)
    touch(Scope.SPECIMEN, [new.pk], by=None, why="added")
    touch(Scope.NAMES, by=None, why="names came in")
    run = take_up(by=None)
    assert run is not None and (run.judged, run.changed) == (2, 2)
    assert Standing.objects.get(specimen=virgo).ruling.strip[Layer.COLLECTING] == "0"


@pytest.mark.django_db
@pytest.mark.usefixtures("in_parts")
def test_a_changed_paper_touches_what_it_is_linked_to_and_no_more() -> None:
    accessions = [register.accession(number) for number in "AB"]
    papers = [permit(f"COL-{a.number}", accession=a) for a in accessions]
    for n in range(5):
        register.specimen(accession=accessions[n % 2])
    assess(by=None, why="first")
    PaperVersion.objects.filter(paper=papers[1]).update(in_force_to="2024-05-31")
    touch(Scope.PAPER, [papers[1].pk], by=None, why="ends earlier")
    run = take_up(by=None)
    assert run is not None and (run.judged, run.changed, run.scope) == (2, 2, "what changed: paper")


@pytest.mark.django_db
@pytest.mark.usefixtures("in_parts")
def test_what_is_counted_under_one_cap_is_judged_together() -> None:
    """A specimen that goes leaves room for one of another accession, which the same cap counts."""
    accessions = [register.accession(number) for number in "ABC"]
    first, second, apart = (register.specimen(accession=accession) for accession in accessions)
    paper = permit("COL-1", accession=accessions[0])
    register.link(paper, accession=accessions[1])
    VersionCap.objects.create(version=paper.versions.get(), limit=1)
    register.rule(register.sheet("GE"))
    assess(by=None, why="first")
    assert Standing.objects.get(specimen=second).worst == 2, "two of the same day may be one too many"
    remove_specimen(first, by=register.person(Role.REGISTRAR), why="removed")
    run = take_up(by=None)
    assert run is not None and run.judged == 1
    assert Standing.objects.get(specimen=second).ruling.strip[Layer.COLLECTING] == "0"
    assert Standing.objects.get(specimen=apart).run_id != run.pk
