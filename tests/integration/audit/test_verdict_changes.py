"""What changed the verdicts of a specimen: each cause by the person who made it, in the run that followed."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from accessions.material.models import Specimen
from accessions.people.access import role_bits
from accessions.people.history import record, remove
from accessions.people.models import Role, User
from governance.audit.queries.verdict_changes import VerdictChange, verdict_history
from governance.papers.models import Paper, PaperStatus, VersionCap
from governance.verdicts.models import HouseRuleSet, Run, Search
from tests.factories import register as make
from tests.factories import verdicts
from tests.integration.audit.test_clocks import at

pytestmark = pytest.mark.django_db

FIRST = datetime(2026, 3, 2, 9, tzinfo=UTC)
WHO = "Nora Registrar"


class World:
    """A specimen with a paper, judged on the first day; each change is made on a later day, a run follows."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.monkeypatch, self.day = monkeypatch, 0
        with at(FIRST - timedelta(hours=1)):
            self.by = make.person("registrar")
            self.specimen = make.specimen("LMN-FW-0001")
            self.paper = make.paper("COL-2026-1")
            self.version = make.version(self.paper)
            make.link(self.paper, self.by, accession=self.specimen.accession)
        self.run("400111111")

    @property
    def moment(self) -> datetime:
        return FIRST + timedelta(days=self.day)

    def run(self, strip: str, **fields: Any) -> Run:
        told = {"engine_version": "1", "house": {}} | fields
        with at(self.moment):
            now = self.moment
            run = Run.objects.create(state="done", scope="all", why="it was asked", by=self.by, started_at=now,
                                     finished_at=now + timedelta(minutes=1), **told)  # fmt: skip
            self.monkeypatch.setattr(verdicts, "run", lambda: run)
            verdicts.judged(Specimen.objects.get(pk=self.specimen.pk), strip)
        self.day += 1
        return run

    def newest(self, reader: User | None = None) -> VerdictChange:
        return verdict_history(self.specimen, reader or self.by).changes[0]

    def write(self, row: Any, why: str = "as the letter says", **values: Any) -> None:
        """Change or add a row at noon of the day, then judge again."""
        for name, value in values.items():
            setattr(row, name, value)
        with at(self.moment - timedelta(hours=6)):
            record(row, by=self.by, why=why)
        self.run("000111111")


@pytest.fixture
def world(monkeypatch: pytest.MonkeyPatch) -> World:
    return World(monkeypatch)


def told(change: VerdictChange) -> list[tuple[str, str, str, str]]:
    return [(one.cause.what, one.cause.did, one.cause.by, one.cause.why) for one in change.causes]


CHANGES: dict[str, tuple[Any, str, str]] = {
    "name": (lambda w: w.write(w.specimen, name=make.written_name("Baetis")), "Specimen LMN-FW-0001", "changed"),
    "event": (lambda w: w.write(w.specimen.event, event_date="2024-06-18"), "Sampling event", "changed"),
    "version": (lambda w: w.write(w.version, in_force_to=date(2024, 7, 31)), "Paper COL-2026-1, version", "changed"),
    "suspension": (
        lambda w: w.write(PaperStatus(paper=w.paper, state="suspended", from_on=date(2024, 6, 1))),
        "Paper COL-2026-1, ", "added",
    ),
    "term": (lambda w: w.write(VersionCap(version=w.version, limit=40)), "Paper COL-2026-1, ", "added"),
    "search": (
        lambda w: w.write(Search(accession=w.specimen.accession, layer=0, state=2, searched_on=date(2026, 3, 3),
                                 searched_by="Nora")),
        "Search for papers", "added",
    ),
    "house rules": (lambda w: w.write(HouseRuleSet(pk=1, assumed_radius_m=500)), "House rules", "added"),
    "sheet": (lambda w: w.write(make.rule(make.sheet("GE")), required=False), "Rule of a country sheet", "changed"),
}  # fmt: skip


@pytest.mark.parametrize("kind", CHANGES)
def test_what_changed_is_told(world: World, kind: str) -> None:
    make_change, what, did = CHANGES[kind]
    make_change(world)

    change = world.newest()
    assert [(layer.before.word, layer.after.word) for layer in change.layers] == [("Outside terms", "Covered")]
    found = [one for one in told(change) if one[0].startswith(what) and one[1] == did]
    assert [one[2:] for one in found] == [(WHO, "as the letter says")], told(change)


def test_links_made_and_taken_off(world: World) -> None:
    other = make.paper("LND-2026-2")
    with at(world.moment - timedelta(hours=2)):
        link = make.link(other, world.by, accession=world.specimen.accession, why="found in a box")
    world.run("000111111")
    assert told(world.newest()) == [("Link of LND-2026-2 to LMN-2024-038", "made", WHO, "found in a box")]

    link.unlinked_at, link.unlinked_by, link.unlinked_why = world.moment - timedelta(hours=2), world.by, "in error"
    link.save()
    world.run("400111111")
    assert told(world.newest()) == [("Link of LND-2026-2 to LMN-2024-038", "taken off", WHO, "in error")]


def test_a_record_that_is_gone_is_told(world: World) -> None:
    with at(world.moment - timedelta(hours=3)):
        cap = VersionCap(version=world.version, limit=40)
        record(cap, by=world.by, why="as read")
    world.run("000111111")
    with at(world.moment - timedelta(hours=3)):
        remove(cap, by=world.by, why="misread")
    world.run("400111111")
    assert [one[1:] for one in told(world.newest())] == [("removed", WHO, "misread")]


def test_remarks_change_no_verdict(world: World) -> None:
    """Nothing that verdicts rest on changed: it is said that the cause is not known, and none is made up."""
    world.write(world.specimen, remarks="a leg is missing")
    history = verdict_history(world.specimen, world.by)
    assert (history.changes[0].causes, history.changes[0].is_known, history.unknown) == ([], False, 1)


def test_what_the_runs_keep(world: World) -> None:
    world.run("000111111", engine_version="2", house={"datum_allowance_m": 9}, papers=[[world.paper.pk, [738000]]])
    assert list(world.newest().beside) == [
        "The engine: version 1, then 2.",
        "The house rules that were used differ; who changed them is not known.",
        "COL-2026-1 was used with other versions, or not in both; who changed that is not known.",
    ]


def test_layers_for_which_a_paper_was_tested(world: World) -> None:
    world.write(world.version, in_force_to=date(2024, 7, 31))
    with at(world.moment - timedelta(hours=2)):
        record(world.version, by=world.by, why="corrected")
    with at(world.moment):
        why = {verdicts.Layer(0): verdicts.Why("after-end", "late", world.paper)}
        run = Run.objects.create(state="done", scope="all", engine_version="1", started_at=world.moment,
                                 finished_at=world.moment)  # fmt: skip
        world.monkeypatch.setattr(verdicts, "run", lambda: run)
        verdicts.judged(world.specimen, "400111111", why)
    assert [one.layers for one in world.newest().causes] == [("Land",)]


class TestThePage:
    def test_what_is_restricted_is_not_told(self, world: World, client: Client) -> None:
        """That the paper changed, everybody sees; what, by whom and why, its readers."""
        world.write(world.version, why="CANARY", in_force_to=date(2024, 7, 31))
        Paper.objects.update(restricted_to=role_bits([Role.COMPLIANCE]), restricted_why="names")
        for role, sees in ((Role.CURATOR, False), (Role.COMPLIANCE, True)):
            client.force_login(make.person(role))
            page = client.get(reverse("audit:verdict-changes", args=[world.specimen.pk])).content.decode()
            assert "Paper COL-2026-1, version" in page
            assert ("CANARY" in page) is sees
            assert ("not open to you" in page) is not sees

    def test_costs(self, world: World, client: Client, django_assert_max_num_queries: Any) -> None:
        """However many changes: ten of a version and as many runs."""
        client.force_login(world.by)
        for number in range(10):
            world.write(world.version, in_force_to=date(2024, 7, 1 + number))
        with django_assert_max_num_queries(55):
            page = client.get(reverse("audit:verdict-changes", args=[world.specimen.pk]))
        assert page.content.decode().count("as the letter says") == 10

    def test_never_judged(self, client: Client) -> None:
        client.force_login(make.person())
        page = client.get(reverse("audit:verdict-changes", args=[make.specimen().pk])).content.decode()
        assert "No assessment has judged it yet." in page
