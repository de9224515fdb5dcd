"""Runs: what they keep, what they leave alone, and what becomes of one that stops in the middle."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import psycopg
import pytest
from django.core.management import call_command
from django.test import RequestFactory
from django.urls import reverse

from accessions.material.models import Touch
from accessions.material.touches import Scope, touch
from accessions.people.access import NotAllowedError
from accessions.people.models import Role
from governance.engine.tables import Layer, Verdict
from governance.papers.models import PaperVersion, VersionPlace
from governance.verdicts.actions import assess, take_up, take_up_soon
from governance.verdicts.middleware import TakeUpMiddleware
from governance.verdicts.models import Outcome, OutcomePaper, Result, Ruling, Run, Search, Standing
from governance.verdicts.one_run import RunGoesOnError, one_run
from governance.verdicts.queries.pending import pending_touches
from tests.factories import register

PROJECT = Path(__file__).resolve().parents[3]
pytestmark = pytest.mark.django_db


def verdict_of(specimen: Any, layer: Layer = Layer.COLLECTING) -> Verdict:
    return Verdict(int(Standing.objects.get(specimen=specimen).ruling.strip[layer]))


def codes_of(specimen: Any, layer: Layer) -> list[str]:
    outcome = Outcome.objects.get(rulings__ruling__standings=specimen.pk, layer=layer)
    return [finding.code for finding in outcome.findings.all()]


def linked_specimen(**fields: Any) -> Any:
    """A specimen of 17 June 2024, under a permit for May and June, in a country that requires one."""
    register.rule(register.sheet("GE"))
    specimen = register.specimen(**fields)
    paper = register.paper()
    register.version(paper)
    register.link(paper, accession=specimen.accession)
    return specimen


def test_a_run_says_what_it_used() -> None:
    specimen = linked_specimen()
    by = register.person()
    run = assess(by=by, why="asked")
    assert (run.state, run.judged, run.changed, run.by, run.why) == ("done", 1, 1, by, "asked")
    assert run.house == {"assumed_radius_m": 1000, "datum_allowance_m": 250, "approximate_count_percent": None}
    day = date(2024, 5, 1).toordinal()
    assert run.papers == [[specimen.accession.paper_links.get().paper_id, [day]]]
    assert run.started_at and run.finished_at and run.finished_at >= run.started_at


def test_what_did_not_change_is_not_written_again() -> None:
    linked_specimen()
    assess(by=None, why="first")
    before = (Result.objects.count(), Ruling.objects.count(), Outcome.objects.count())
    run = assess(by=None, why="second")
    assert (run.judged, run.changed) == (1, 0)
    assert (Result.objects.count(), Ruling.objects.count(), Outcome.objects.count()) == before


def test_who_may_not_ask_is_refused() -> None:
    with pytest.raises(NotAllowedError):
        assess(by=register.person(Role.VOLUNTEER), why="asked")
    assert not Run.objects.exists()


def test_an_empty_register_is_assessed() -> None:
    run = assess(by=None, why="nothing there")
    assert (run.state, run.judged) == ("done", 0)


def test_one_accession_is_judged_with_what_is_counted_with_it() -> None:
    first = linked_specimen(accession=register.accession("A"))
    other = register.specimen(accession=register.accession("B"))
    run = assess(by=None, why="one", accession=first.accession)
    assert (run.judged, run.scope) == (1, "accession A")
    assert not Standing.objects.filter(specimen=other).exists()


def test_a_specimen_without_number_can_be_linked() -> None:
    specimen, other = register.specimen(""), register.specimen("")
    paper = register.paper()
    register.version(paper)
    register.link(paper, specimen=specimen)
    register.rule(register.sheet("GE"))
    assess(by=None, why="test")
    assert (verdict_of(specimen), verdict_of(other)) == (Verdict.COVERED, Verdict.MISSING)


def test_a_paper_of_a_part_does_not_speak_for_the_rest() -> None:
    accession = register.accession()
    inside = register.specimen(accession=accession, part=register.part(accession))
    outside = register.specimen(accession=accession)
    paper = register.paper()
    register.version(paper)
    register.link(paper, part=inside.part)
    register.rule(register.sheet("GE"))
    assess(by=None, why="test")
    assert (verdict_of(inside), verdict_of(outside)) == (Verdict.COVERED, Verdict.MISSING)


def test_a_paper_of_an_event_without_number_speaks_for_that_event() -> None:
    specimen, other = register.specimen(event=register.event("")), register.specimen(event=register.event(""))
    paper = register.paper()
    register.version(paper)
    register.link(paper, event=specimen.event)
    register.rule(register.sheet("GE"))
    assess(by=None, why="test")
    assert (verdict_of(specimen), verdict_of(other)) == (Verdict.COVERED, Verdict.MISSING)


def test_two_sites_of_one_name_keep_their_papers_apart() -> None:
    """A paper linked to one of them must not reach the other by the name that both bear."""
    sites = [register.site(code, name="Upper bridge") for code in ("GE-1", "GE-2")]
    specimens = [register.specimen(event=register.event(site=site)) for site in sites]
    paper = register.paper()
    register.version(paper)
    register.link(paper, site=sites[0])
    register.rule(register.sheet("GE"))
    assess(by=None, why="test")
    assert [verdict_of(specimen) for specimen in specimens] == [Verdict.COVERED, Verdict.MISSING]


def test_a_boundary_holds_on_its_days() -> None:
    """The site's boundary holds the point (43.903 E, 42.084 N) until 20 June; from 21 June it lies 1 degree north.

    A point one degree north of another is some 111 km away, far more than the 500 m of the boundary and the 30 m of
    the point. The version of the paper that is shown is the one that the paper itself has.
    """
    site = register.site()
    register.boundary(site, held_to="2024-06-20")
    register.boundary(site, held_from="2024-06-21", latitude_deg=43.084)
    before = register.specimen(event=register.event("1", "2024-06-20"))
    after = register.specimen(event=register.event("2", "2024-06-21"))
    paper = register.paper()
    VersionPlace.objects.create(version=register.version(paper), site=site.code)
    register.link(paper, all_accessions=True)
    register.rule(register.sheet("GE"))
    assess(by=None, why="test")
    assert (verdict_of(before), verdict_of(after)) == (Verdict.COVERED, Verdict.OUTSIDE)
    assert set(map(tuple, OutcomePaper.objects.values_list("versions", flat=True))) == {("2024-05-01",)}


@pytest.mark.parametrize(("state", "code"), [(0, "not-searched"), (1, "known-not-located"), (2, "none-found")])
def test_a_search_changes_what_is_said_of_a_missing_paper(state: int, code: str) -> None:
    accession = register.accession()
    specimen = register.specimen(accession=accession, part=register.part(accession))
    rest = register.specimen(accession=accession)
    register.rule(register.sheet("GE"))
    for day, of_part, found in (("2025-01-01", None, 2 - state), ("2025-01-02", specimen.part, state)):
        Search.objects.create(
            accession=accession, part=of_part, layer=1, state=found, searched_on=day, searched_by="N. Ek"
        )
    assess(by=None, why="test")
    assert codes_of(specimen, Layer.COLLECTING) == [code]
    assert codes_of(rest, Layer.COLLECTING) == [("not-searched", "known-not-located", "none-found")[2 - state]]
    assert verdict_of(specimen) == Verdict.MISSING


def test_marks_are_taken_up_after_a_change(client: Any) -> None:
    specimen = linked_specimen()
    touch(Scope.SPECIMEN, [specimen.pk], by=None, why="added")
    assert pending_touches() == 1
    client.post(reverse("people:sign-in"), {"username": register.person().username, "password": register.PASSWORD})
    assert pending_touches() == 0
    assert Run.objects.get().why == "added"


def test_reading_and_refused_requests_take_nothing_up(rf: RequestFactory) -> None:
    from django.http import HttpResponse

    touch(Scope.SPECIMEN, [linked_specimen().pk], by=None, why="added")
    for request, status in ((rf.get("/"), 200), (rf.post("/"), 403)):
        TakeUpMiddleware(lambda _, status=status: HttpResponse(status=status))(request)  # type: ignore[misc]
    assert pending_touches() == 1


def test_a_change_beside_a_run_that_goes_on_is_taken_up_after_it(
    monkeypatch: pytest.MonkeyPatch, django_capture_on_commit_callbacks: Any
) -> None:
    """Nobody waits for a run of somebody else, and no mark is lost."""
    monkeypatch.setattr("governance.verdicts.actions.taking_up._WAIT_S", 0.01)
    touch(Scope.SPECIMEN, [linked_specimen().pk], by=None, why="added")
    with django_capture_on_commit_callbacks() as after:
        with one_run():
            assert take_up_soon(by=register.person()) is None
        assert (pending_touches(), Run.objects.count()) == (1, 0)
    for callback in after:
        callback()
    assert (pending_touches(), Run.objects.count()) == (0, 1)


def test_a_large_change_goes_to_the_background(
    monkeypatch: pytest.MonkeyPatch, django_capture_on_commit_callbacks: Any
) -> None:
    monkeypatch.setattr("governance.verdicts.actions.taking_up.AT_ONCE", 0)
    touch(Scope.SPECIMEN, [linked_specimen().pk], by=None, why="added")
    with django_capture_on_commit_callbacks(execute=True):
        assert take_up_soon(by=register.person()) is None
        assert pending_touches() == 1, "it starts after the commit"
    assert pending_touches() == 0
    assert Run.objects.get().by == register.person()


def test_a_second_run_does_not_begin_while_one_goes_on() -> None:
    refused: list[type] = []

    def try_another() -> None:
        try:
            with one_run(0):
                pass
        except RunGoesOnError as error:
            refused.append(type(error))

    with one_run():
        thread = threading.Thread(target=try_another)
        thread.start()
        thread.join()
    assert refused == [RunGoesOnError]
    with one_run(0):
        pass


def test_a_run_that_fails_leaves_marks_and_verdicts(monkeypatch: pytest.MonkeyPatch) -> None:
    specimen = linked_specimen()
    assess(by=None, why="first")
    PaperVersion.objects.update(in_force_to="2024-06-01")
    touch(Scope.SPECIMEN, [specimen.pk], by=None, why="changed")

    def fail(*_: Any) -> None:
        raise OSError("no space left on the disk")

    with monkeypatch.context() as patched, pytest.raises(OSError, match="no space"):
        patched.setattr("governance.verdicts.actions.assessing.finish", fail)
        take_up(by=None)
    assert (pending_touches(), verdict_of(specimen)) == (1, Verdict.COVERED)
    stopped = Run.objects.get(state="stopped")
    assert not stopped.results.exists()
    take_up(by=None)
    assert (pending_touches(), verdict_of(specimen)) == (0, Verdict.OUTSIDE)


def test_the_queries_of_a_run_do_not_grow_with_the_specimens(django_assert_max_num_queries: Any) -> None:
    """63 with one specimen; a query for each of the fifty more would show."""
    specimen = linked_specimen()
    for _ in range(50):
        register.specimen(accession=specimen.accession)
    with django_assert_max_num_queries(75):
        assess(by=None, why="counted")


def test_the_command_judges_and_sums_up(capsys: pytest.CaptureFixture[str]) -> None:
    linked_specimen()
    call_command("assess", "--by", register.person().username, "--accession", "LMN-2024-038")
    said = capsys.readouterr().err
    assert "1 specimens judged, 1 changed" in said and "collecting" in said
    assert Run.objects.get().by == register.person()


@pytest.mark.parametrize(
    ("options", "words"),
    [(["--by", "nobody"], "no person signs in under this name"), (["--accession", "X"], "there is no accession")],
)
def test_the_command_refuses_what_it_does_not_know(
    options: list[str], words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit, match="2"):
        call_command("assess", *options)
    assert words in capsys.readouterr().err
    assert not Touch.objects.exists() and not Run.objects.exists()


SETUP = """
import django
from django.conf import settings
class NoMigrations:  # tables straight from the models: the migrations have tests of their own, and take long
    def __contains__(self, label): return True
    def __getitem__(self, label): return None
settings.MIGRATION_MODULES = NoMigrations()
django.setup()
from django.core.management import call_command
call_command("migrate", run_syncdb=True, verbosity=0)
call_command("flush", interactive=False, verbosity=0)
from accessions.material.touches import Scope, touch
from governance.papers.models import PaperVersion
from governance.verdicts.actions import assess
from tests.factories import register
accession, paper = register.accession(), register.paper()
register.rule(register.sheet("GE"))
register.version(paper); register.link(paper, accession=accession)
for _ in range(9): register.specimen(accession=accession)
assess(by=None, why="first")
PaperVersion.objects.update(in_force_to="2024-06-01")
touch(Scope.PAPER, [paper.pk], by=None, why="ends earlier")
"""
KILLED = """
import time
import django; django.setup()
import governance.verdicts.storing.results as results
from governance.verdicts.actions import take_up
results.ROWS_AT_ONCE = 3
def step(name, rows):
    if name == "Writing results" and rows >= 3:
        print("half", flush=True)
        time.sleep(300)
take_up(by=None, step=step)
"""
STATE = """
import json
import django; django.setup()
from accessions.material.models import Touch
from governance.verdicts.models import Result, Run, Standing
print(json.dumps({
    "runs": list(Run.objects.order_by("pk").values_list("state", "progress")),
    "results": [Result.objects.filter(run=run).count() for run in Run.objects.order_by("pk")],
    "strips": sorted(set(Standing.objects.values_list("ruling__strip", flat=True))),
    "touches": Touch.objects.count(),
}))
"""
TAKE_UP = """
import django; django.setup()
from governance.verdicts.actions import take_up
take_up(by=None)
"""


@pytest.fixture(params=["sqlite", "postgres"])
def environment(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[dict[str, str]]:
    """A database of its own, for processes that can be killed."""
    common = {**os.environ, "DJANGO_SETTINGS_MODULE": "governance.config.settings"}
    if request.param == "sqlite":
        yield {**common, "DATABASE_URL": f"sqlite:///{tmp_path / 'killed.sqlite3'}"}
        return
    address: str = request.getfixturevalue("postgres_url")
    name = f"killed_{os.getpid()}"
    with psycopg.connect(address, autocommit=True) as server:
        server.execute(f"CREATE DATABASE {name}")
        try:
            yield {**common, "DATABASE_URL": f"{address.rpartition('/')[0]}/{name}"}
        finally:
            server.execute(f"DROP DATABASE {name} WITH (FORCE)")


def run_python(code: str, environment: dict[str, str]) -> str:
    done = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", code], cwd=PROJECT, env=environment, capture_output=True, text=True,
        timeout=300, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.mark.slow
def test_a_killed_run_is_as_if_it_had_not_been(environment: dict[str, str]) -> None:
    """Killed after the first slice of three: the old verdicts stand, the mark waits, and the next run starts clean.

    Under a permit that ends on 1 June, what was taken on 17 June lies outside (4) on the collecting layer (digit 1).
    """
    run_python(SETUP, environment)
    before = json.loads(run_python(STATE, environment))
    process = subprocess.Popen([sys.executable, "-W", "ignore", "-c", KILLED], cwd=PROJECT, env=environment, stdout=subprocess.PIPE)  # noqa: E501  # fmt: skip
    assert process.stdout is not None
    with process.stdout:
        assert process.stdout.readline() == b"half\n"
        os.kill(process.pid, signal.SIGKILL)
    process.wait(60)
    after = json.loads(run_python(STATE, environment))
    assert after["runs"] == [["done", 9], ["running", 3]]
    assert (after["strips"], after["touches"]) == (before["strips"], 1)
    run_python(TAKE_UP, environment)
    done = json.loads(run_python(STATE, environment))
    assert [state for state, _ in done["runs"]] == ["done", "stopped", "done"]
    assert (done["results"], done["touches"]) == ([9, 0, 9], 0)
    assert [strip[1] for strip in before["strips"]] == ["0"] and [strip[1] for strip in done["strips"]] == ["4"]
