"""Every action that changes what is judged leaves a mark by which all verdicts follow that may change.

Each row does one thing through the action that people use, takes the marks up, and then judges everything anew: a
verdict that only the second finds was stale. The actions are tried with ``WHOLE_SHARE`` out of reach, since a small
register would never be judged in part.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable
from copy import deepcopy
from datetime import date
from types import SimpleNamespace
from typing import Any, Final

import pytest

from accessions.intake.taxa import load_taxa_file
from accessions.material.actions import accessions as holders
from accessions.material.actions.moves import move_to_part
from accessions.material.actions.siting import attach_events
from accessions.material.actions.specimens import change_event, change_specimen, determine, enter_specimen
from accessions.material.models import Specimen, Touch
from accessions.people.models import Role, User
from accessions.sites.actions.periods import add_period, change_period, remove_period
from accessions.sites.actions.sites import change_site, create_site
from accessions.sites.models import SiteBoundary
from governance.engine.tables import Layer, SearchState, Verdict
from governance.papers import actions as papers
from governance.papers.actions.linking import Targets
from governance.papers.models import Paper, PaperVersion, VersionCap, VersionPlace, VersionTaxon
from governance.verdicts import selecting
from governance.verdicts.actions import assess, sheets, take_up
from governance.verdicts.actions.accession_papers import cover_parts
from governance.verdicts.actions.change_preview import preview_change
from governance.verdicts.actions.house_rules import change_house_rules
from governance.verdicts.actions.layer_decisions import decide, withdraw_decision
from governance.verdicts.actions.searches import record_searches
from governance.verdicts.models import SheetRule, Standing
from tests.factories import register
from tests.factories import verdicts as made_verdicts

WHY: Final = "a change in a test"
Act = Callable[[Any, User], object]
MOVED: Final = {"eventDate": "2024-07-02"}


def world() -> SimpleNamespace:
    """Three accessions; papers by site, by name, with a cap over an event without number and a specimen apart."""
    one, two, three = (register.accession(f"LMN-2024-{n:03}") for n in (1, 2, 3))
    part, other_part = register.part(one, "A"), register.part(one, "B")
    delivery = register.delivery(two, exported_on="2024-06-20")
    bridge, quarry = (register.site(f"GE-NAZ-{n}", name=f"Nazvri {n}") for n in (1, 2))
    boundary = register.boundary(bridge)
    at_bridge, alone, written = (
        register.event("", "2024-06-17", site=bridge, location_id=bridge.code),
        register.event("", "2024-06-16"),
        register.event("E3", "2024-06-18", location_id=quarry.code),
    )
    virgo, splendens = register.written_name("Calopteryx virgo"), register.written_name("Calopteryx splendens")
    w = SimpleNamespace(**{k: v for k, v in locals().items() if k != "w"})
    w.sited = register.specimen(accession=one, event=at_bridge, name=virgo)
    w.parted = register.specimen(accession=one, part=part, event=register.event("E2"), name=virgo)
    w.named = register.specimen(accession=two, delivery=delivery, event=register.event("E4"), name=virgo)
    w.counted = [register.specimen(accession=three, event=alone, name=splendens) for _ in range(2)]
    w.apart = register.specimen(accession=two, event=register.event("E5", "2024-06-20"), name=splendens)
    w.at_quarry = register.specimen(accession=three, event=written, name=splendens)
    w.quarried = register.specimen(accession=three, event=register.event("E6", site_name=quarry.name), name=splendens)
    w.bare = register.specimen(accession=one, part=other_part, event=register.event("E7"), name=splendens)
    w.of_site, w.of_part, w.of_family, w.capped, w.of_quarry = (register.paper(f"COL-{n}") for n in range(5))
    w.export = register.paper("EXP-1", (Layer.EXPORT,), kind="export-permit")
    for paper in (w.of_site, w.of_part, w.of_family, w.capped, w.of_quarry, w.export):
        register.version(paper)
    VersionPlace.objects.create(version=w.of_site.versions.get(), site=bridge.code)
    VersionTaxon.objects.create(version=w.of_family.versions.get(), name="Calopterygidae")
    VersionCap.objects.create(version=w.capped.versions.get(), limit=2)
    register.link(w.of_site, specimen=w.sited)
    VersionPlace.objects.create(version=w.of_quarry.versions.get(), site=quarry.name)
    register.link(w.of_quarry, specimen=w.quarried)
    w.part_link = register.link(w.of_part, part=part)
    register.link(w.of_family, specimen=w.named)
    register.link(w.capped, event=alone)
    register.link(w.capped, specimen=w.apart)
    register.link(w.export, accession=two)
    w.decision = made_verdicts.decision(one, Layer.LAND, part=other_part)
    w.sheet = register.sheet("GE")
    w.rule = register.rule(w.sheet)
    return w


def new_name(w: Any, by: User) -> None:
    """A determination that says, for the first time, in which family the genus stands."""
    determine(w.at_quarry, {"scientificName": "Calopteryx splendens", "family": "Calopterygidae"},
              identified_by="J. Ek", date_identified="2024", by=by, why=WHY)  # fmt: skip


def enter_name(w: Any, by: User) -> None:
    """The same said by a specimen that is entered by hand."""
    enter_specimen(w.three, {"eventDate": "2024-06-18"}, {"scientificName": "Calopteryx xanthostoma",
                   "family": "Calopterygidae"}, by=by, why=WHY)  # fmt: skip


def load_list(w: Any, by: User) -> None:
    w.file.write_text("scientificName,taxonRank,parent\nCalopterygidae,family,\nCalopteryx,genus,Calopterygidae\n")
    load_taxa_file(w.file, name="invented list", source="invented", by=by, why=WHY)


def amend(paper: Paper, by: User, **more: Any) -> None:
    version = PaperVersion.objects.get(paper=paper)
    data = {"in_force_from": "2024-05-01", "in_force_to": "2024-06-30"} | more
    papers.amend_version(paper=paper, start=version.in_force_from, data=data, by=by, why=WHY)


def decided(w: Any, by: User, **more: Any) -> None:
    decide(accession=w.one, reason="The land is the museum’s own.", evidence="folio 12", by=by, **more)


def import_again(w: Any, by: User) -> None:
    entry = {
        "reference": "COL-1", "kind": "collecting-permit", "layers": ["collecting"], "issuer": "Nazvri Directorate",
        "jurisdiction": "GE", "versions": [{"in_force_from": "2024-05-01", "in_force_to": "2024-06-30"}],
        "covers": {"accessions": [w.three.number]},
    }  # fmt: skip
    data = json.dumps({"papers": [entry]}).encode()
    assert papers.import_papers(data, "papers.json", by=by, why=WHY, on_change="take").is_saved


ACTS: Final[dict[str, Act]] = {
    "count of a specimen": lambda w, by: change_specimen(w.counted[0], individual_count="5", by=by, why=WHY),
    "part of a specimen": lambda w, by: change_specimen(w.parted, part=w.other_part, by=by, why=WHY),
    "into a part": lambda w, by: move_to_part(w.one, w.part, [w.bare.pk], by=by, why=WHY),
    "out of a part": lambda w, by: move_to_part(w.one, None, [w.parted.pk], by=by, why=WHY),
    "event of one": lambda w, by: change_event(w.counted[0], MOVED, everyone=False, by=by, why=WHY),
    "event of all": lambda w, by: change_event(w.counted[0], MOVED, everyone=True, by=by, why=WHY),
    "new determination": new_name,
    "specimen by hand": enter_name,
    "list of taxa": load_list,
    "days of a delivery": lambda w, by: holders.change_delivery(
        w.delivery, exported_on=date(2024, 7, 20), by=by, why=WHY
    ),
    "boundary moved": lambda w, by: change_period(w.boundary, radius_m=5.0, by=by, why=WHY),
    "boundary ended": lambda w, by: change_period(w.boundary, held_to=date(2024, 6, 1), by=by, why=WHY),
    "boundary removed": lambda w, by: remove_period(w.boundary, by=by, why=WHY),
    "boundary entered": lambda w, by: add_period(
        SiteBoundary, w.quarry, longitude_deg=44.5, latitude_deg=42.084, radius_m=500.0, by=by, why=WHY
    ),
    "code of a site": lambda w, by: change_site(w.bridge, code="GE-NAZ-9", by=by, why=WHY),
    "code taken over": lambda w, by: [
        change_site(w.bridge, code="GE-NAZ-9", by=by, why=WHY),
        change_site(w.quarry, code="GE-NAZ-1", by=by, why=WHY),
    ],
    "name of a site": lambda w, by: change_site(w.quarry, name="Nazvri 1", by=by, why=WHY),
    "site entered": lambda w, by: create_site(code="GE-NAZ-7", name="Nazvri 1", country="GE", by=by, why=WHY),
    "events to a site": lambda w, by: attach_events(w.quarry, by=by, why=WHY),
    "shorter version": lambda w, by: amend(w.of_part, by, in_force_to="2024-06-01"),
    "higher cap": lambda w, by: amend(w.capped, by, caps=[{"limit": 9, "each": "together", "per": "paper"}]),
    "new version": lambda w, by: papers.add_version(
        paper=w.of_part, data={"in_force_from": "2024-06-02", "in_force_to": "2024-06-03"}, by=by, why=WHY
    ),
    "version removed": lambda w, by: papers.remove_version(paper=w.of_part, start=date(2024, 5, 1), by=by, why=WHY),
    "layer of a paper": lambda w, by: papers.edit_face(paper=w.of_part, data={"layers": ["land"]}, by=by, why=WHY),
    "jurisdiction of a paper": lambda w, by: papers.edit_face(
        paper=w.of_part, data={"jurisdiction": "AM"}, by=by, why=WHY
    ),
    "suspended": lambda w, by: papers.add_status(
        paper=w.of_part, data={"state": "suspended", "from": "2024-06-01", "to": "2024-06-30"}, by=by, why=WHY
    ),
    "surrendered": lambda w, by: papers.add_status(
        paper=w.of_part, data={"state": "surrendered", "from": "2024-06-01"}, by=by, why=WHY
    ),
    "refused": lambda w, by: papers.add_status(
        paper=w.of_part, data={"state": "refused", "from": "2024-04-01"}, by=by, why=WHY
    ),
    "linked": lambda w, by: papers.link(
        paper=w.of_part,
        targets=Targets(parts=[w.other_part.pk], accessions=[w.three.pk]),
        by=by,
        why=WHY,
    ),
    "linked to a site": lambda w, by: papers.link(
        paper=w.of_part, targets=Targets(sites=[w.quarry.pk]), by=by, why=WHY
    ),
    "unlinked": lambda w, by: papers.unlink(paper=w.of_part, links=[w.part_link.pk], by=by, why=WHY),
    "cap unlinked": lambda w, by: papers.unlink(
        paper=w.capped, links=w.capped.links.filter(event=w.alone).values_list("pk", flat=True), by=by, why=WHY
    ),
    "matrix": lambda w, by: cover_parts(
        w.one, ticked=[(w.of_part.pk, w.other_part.pk)], were_ticked=[(w.of_part.pk, w.part.pk)], by=by, why=WHY
    ),
    "papers file": import_again,
    "decided for an accession": lambda w, by: decided(w, by, layer=Layer.ACCESS),
    "decided for a part": lambda w, by: decided(w, by, part=w.part, layer=Layer.LAND),
    "decided for a layer without paper": lambda w, by: decided(w, by, part=w.other_part, layer=Layer.COLLECTING),
    "decision withdrawn": lambda w, by: withdraw_decision(
        decision=w.decision, reason="The folio is another one.", by=by
    ),
    "out of a decided part": lambda w, by: move_to_part(w.one, None, [w.bare.pk], by=by, why=WHY),
    "into a decided part": lambda w, by: move_to_part(w.one, w.other_part, [w.sited.pk], by=by, why=WHY),
    "consent withdrawn": lambda w, by: papers.add_status(
        paper=w.of_part, data={"state": "withdrawn", "from": "2024-06-01"}, by=by, why=WHY
    ),
}

OF_THE_HOUSE: Final[dict[str, Act]] = {
    "search of a part": lambda w, by: record_searches(
        parts=[w.other_part], layer=Layer.COLLECTING, state=SearchState.NONE_FOUND, searched_on=date(2025, 1, 1),
        searched_by="N. Ek", by=by, why=WHY,
    ),
    "rule ended": lambda w, by: sheets.end_rule(w.rule, last_day=date(2024, 6, 1), by=by, why=WHY),
    "rule followed": lambda w, by: sheets.follow_rule(
        w.rule, from_on=date(2024, 6, 1), required=False, source="invented", by=by, why=WHY
    ),
    "rule withdrawn": lambda w, by: sheets.withdraw_rule(SheetRule.objects.get(), by=by, why=WHY),
    "sheet of everywhere": lambda w, by: sheets.add_rule(
        sheets.start_sheet("", by=by, why=WHY, today=date(2025, 1, 1)), layer=int(Layer.LAND), required=True,
        source="invented", by=by, why=WHY,
    ),
    "house rules": lambda w, by: change_house_rules(values={"assumed_radius_m": None}, by=by, why=WHY),
}  # fmt: skip


@pytest.fixture
def w(monkeypatch: pytest.MonkeyPatch, tmp_path: Any) -> Any:
    monkeypatch.setattr(selecting, "WHOLE_SHARE", 2.0)
    made = world()
    made.file = tmp_path / "taxa.csv"
    assess(by=None, why="first")
    return made


NOTHING_CHANGES: Final = frozenset({"name of a site", "site entered", "events to a site", "house rules"})
"""What changes no verdict here; that a mark is left is tested all the same by what a full assessment finds."""


def hold(w: Any, name: str, act: Act, by: User) -> None:
    before = dict(Standing.objects.values_list("specimen_id", "ruling_id"))
    act(w, by)
    take_up(by=None)
    followed = dict(Standing.objects.values_list("specimen_id", "ruling_id"))
    assert not Touch.objects.exists()
    assess(by=None, why="all anew")
    assert dict(Standing.objects.values_list("specimen_id", "ruling_id")) == followed, "verdicts were left behind"
    assert set(followed) == set(Specimen.objects.values_list("pk", flat=True))
    assert (followed == before) == (name in NOTHING_CHANGES), "the example tests nothing"


@pytest.mark.django_db
@pytest.mark.parametrize("name", ACTS)
def test_verdicts_follow_an_action(w: Any, name: str) -> None:
    hold(w, name, ACTS[name], register.person(Role.REGISTRAR))


@pytest.mark.django_db
@pytest.mark.parametrize("name", OF_THE_HOUSE)
def test_verdicts_follow_a_rule(w: Any, name: str) -> None:
    by = register.person(Role.CURATOR if name == "search of a part" else Role.COMPLIANCE)
    hold(w, name, OF_THE_HOUSE[name], by)


def strips() -> dict[int, str]:
    """The computed verdicts of every specimen."""
    return dict(Standing.objects.values_list("specimen_id", "ruling__strip"))


@pytest.mark.django_db
@pytest.mark.parametrize("name", ACTS)
def test_preview_says_what_an_action_then_does(w: Any, name: str) -> None:
    """Held against the register before and after: how many verdicts of which layer went from what to what."""
    by, before = register.person(Role.REGISTRAR), strips()
    history = Paper.history.count() + Specimen.history.count()
    found = preview_change(lambda: ACTS[name](deepcopy(w), by))
    assert strips() == before
    assert not Touch.objects.exists()
    assert Paper.history.count() + Specimen.history.count() == history
    ACTS[name](w, by)
    take_up(by=None)
    after = strips()
    pairs = [
        (layer, Verdict(int(old[layer])), Verdict(int(after[pk][layer])), pk)
        for pk, old in before.items() for layer in Layer if old[layer] != after[pk][layer]
    ]  # fmt: skip
    told = {(move.after.layer, move.before.verdict, move.after.verdict): move.specimens for move in found.moves}
    assert told == Counter(pair[:3] for pair in pairs)
    assert found.changed == len({pair[3] for pair in pairs})
    assert found.worse == len({pk for _, old, new, pk in pairs if new > old})
    assert found.unjudged == len(after.keys() - before.keys())
    assert {example.specimen.pk for example in found.examples} == {pair[3] for pair in pairs}
