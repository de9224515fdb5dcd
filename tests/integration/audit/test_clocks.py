"""The register as it was known: held against snapshots of all tables that were taken while it was written.

The two have nothing in common: a snapshot is what a plain query found on that day, the clocks work it out afterwards
from histories, times of links and runs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta
from typing import Any
from unittest import mock
from zoneinfo import ZoneInfo

import pytest
from django.db import connection, models, transaction
from django.utils import timezone
from hypothesis import given, settings
from hypothesis import strategies as st

from accessions.material.models import Accession, Determination, Part, SamplingEvent, Specimen
from accessions.people.history import CHANGED, copy_to_history, record, remove
from accessions.people.models import Agent, User
from governance.audit.clocks import AsKnownError, as_known, moment_of, tables
from governance.audit.clocks.moments import tracked_models
from governance.audit.clocks.rules import COMPUTED, RULES
from governance.engine.tables import Layer, Verdict
from governance.papers.models import Paper, PaperLink, PaperVersion
from governance.verdicts.models import Override, Result, Run, Standing
from governance.verdicts.standing_columns import fill_columns
from tests.architecture.test_register import models_of_the_register
from tests.factories import register as make
from tests.factories import verdicts

pytestmark = pytest.mark.django_db

FIRST = datetime(2024, 3, 1, 9, tzinfo=UTC)
READ: tuple[Any, ...] = (
    Accession, Part, Agent, User, SamplingEvent, Specimen, Determination, Paper, PaperVersion, PaperLink, Run, Result,
    Standing, Override, Accession.history.model, PaperVersion.history.model,
)  # fmt: skip
STRIPS = ("111111111", "400111111", "051111111", "222222222")
State = dict[str, list[dict[str, Any]]]


@contextmanager
def at(moment: datetime) -> Iterator[None]:
    """Everything within is written at that moment."""
    with mock.patch("django.utils.timezone.now", lambda: moment):
        yield


def state() -> State:
    """All rows of the tables, as a plain query finds them."""
    return {model._meta.label: list(model._base_manager.order_by("pk").values()) for model in READ}


def _first(model: type[models.Model], number: int) -> Any:
    """One of the rows there are; None if there is none."""
    rows = list(model._base_manager.order_by("pk"))
    return rows[number % len(rows)] if rows else None


def _describe(by: User, n: int) -> None:
    row = _first(Accession, n)
    row.title = f"Journey {n}"
    record(row, by=by, why="a slip", fields=["title"])


def _describe_many(by: User, n: int) -> None:
    """Past the models, as large changes are written."""
    Accession.objects.update(description=f"{n} boxes")
    copy_to_history(Accession, "1 = %s", [1], by=by, why="all at once", kind=CHANGED)


def _add_part(by: User, n: int) -> None:
    record(Part(accession=_first(Accession, n), letter=f"P{Part.history.count()}"), by=by, why="a part")


def _remove_part(by: User, n: int) -> None:
    if (row := _first(Part, n)) is not None:
        remove(row, by=by, why="written twice")


def _name(by: User, n: int) -> None:
    row = _first(Specimen, n)
    row.name = make.written_name(f"Gammarus species{n % 4}")
    record(row, by=by, why="seen again", fields=["name"])


def _amend_event(by: User, n: int) -> None:
    row = _first(SamplingEvent, n)
    row.country, row.latest_on = ("GE", "CR")[n % 2], date(2024, 6, 17 + n % 5)
    record(row, by=by, why="read anew", fields=["country", "latest_on"])
    fill_columns("SELECT id FROM material_specimen")


def _amend_paper(by: User, n: int) -> None:
    paper = _first(Paper, n)
    start = date(2024, 5, 1) + timedelta(days=PaperVersion.history.count())
    record(PaperVersion(paper=paper, in_force_from=start), by=by, why="amended")
    paper.issuer = f"Office {n}"
    record(paper, by=by, why="amended", fields=["issuer"])


def _link(by: User, n: int) -> None:
    paper, specimen = _first(Paper, n), _first(Specimen, n)
    if not PaperLink.objects.filter(paper=paper, specimen=specimen, unlinked_at=None).exists():
        make.link(paper, by, specimen=specimen)


def _unlink(by: User, n: int) -> None:
    PaperLink.objects.filter(unlinked_at=None, pk__in=PaperLink.objects.order_by("pk")[: n % 3]).update(
        unlinked_at=timezone.now(), unlinked_by=by, unlinked_why="in error"
    )


def _judge(by: User, n: int) -> None:
    """A run of its own, as the factory of verdicts makes only one."""
    now = timezone.now()
    run = Run.objects.create(state="done", engine_version="0", scope="all", started_at=now, finished_at=now, by=by)
    with mock.patch.object(verdicts, "run", lambda: run):
        verdicts.judged(_first(Specimen, n), STRIPS[n % len(STRIPS)])


def _decide(by: User, n: int) -> None:
    standing = _first(Standing, n)
    if standing is None or Override.objects.filter(specimen=standing.pk, withdrawn_at=None).exists():
        return
    computed = int(standing.ruling.strip[0])
    decided = Override(specimen_id=standing.pk, layer=Layer(0), computed=computed, decided=Verdict.STRADDLES,
                       reason="by letter", decided_by=by)  # fmt: skip
    record(decided, by=by, why="by letter")
    fill_columns("%s", [standing.pk])


def _withdraw(by: User, n: int) -> None:
    row = Override.objects.filter(withdrawn_at=None).first()
    if row is not None:
        row.withdrawn_at, row.withdrawn_by = timezone.now(), by
        record(row, by=by, why="no longer", fields=["withdrawn_at", "withdrawn_by"])
        fill_columns("%s", [row.specimen_id])


def _take_in(by: User, n: int) -> None:
    specimen = Specimen(accession=_first(Accession, n), event=_first(SamplingEvent, n), name=make.written_name(),
                        catalog_number=f"LMN-{Specimen.history.count()}")  # fmt: skip
    record(specimen, by=by, why="taken in")


EDITS: tuple[Callable[[User, int], None], ...] = (
    _describe, _describe_many, _add_part, _remove_part, _name, _amend_event, _amend_paper, _link, _unlink, _judge,
    _decide, _withdraw, _take_in,
)  # fmt: skip


def _begin() -> User:
    by = make.person()
    make.agent()
    for number in range(2):
        of = make.accession(f"LMN-2024-00{number}")
        make.specimen(accession=of)
        make.part(of)
        make.version(make.paper(f"COL-{number}"))
    return by


@settings(max_examples=5)
@given(
    edits=st.lists(st.tuples(st.sampled_from(EDITS), st.integers(0, 9), st.sampled_from((0, 1, 3600))), min_size=6,
                   max_size=20),
    as_views=st.booleans(),
)  # fmt: skip
def test_every_moment_is_as_it_was(edits: list[Any], as_views: bool) -> None:
    """After each edit all tables are read; then every third moment is asked for. Some edits share their moment."""
    with transaction.atomic():
        moment, seen = FIRST, {}
        with at(moment):
            by = _begin()
            seen[moment] = state()
        for edit, number, seconds in edits:
            moment += timedelta(seconds=seconds)
            with at(moment):
                edit(by, number)
                seen[moment] = state()
        with mock.patch.object(tables, "SMALL", -1 if as_views else 20_000):
            for asked in list(seen)[::4]:
                with as_known(asked):
                    found = state()
                for label, rows in seen[asked].items():
                    assert found[label] == rows, (label, asked)
        assert state() == seen[moment], "nothing stays of it"
        transaction.set_rollback(True)


def test_every_table_has_its_rule() -> None:
    """Those of the register that keep no history, and those of the audit."""
    with_history = {model._meta.label for model in tracked_models()}
    everything = {label for label in models_of_the_register()} | {model._meta.label for model in models_of_audit()}
    assert everything - with_history == set(RULES) | COMPUTED


def models_of_audit() -> list[type[models.Model]]:
    from django.apps import apps

    return [one for one in apps.get_app_config("audit").get_models() if not hasattr(one, "instance_type")]


class TestHowItIsAsked:
    @pytest.fixture(autouse=True)
    def _register(self) -> None:
        with at(FIRST):
            self.by = _begin()

    def test_before_the_first_record(self) -> None:
        words, day = "first record was entered on 1 March 2024", date(2024, 2, 29)
        with pytest.raises(AsKnownError, match=words), as_known(moment_of(day)):
            pytest.fail("there is no such register")

    def test_the_future_is_now(self) -> None:
        with as_known(moment_of(date.max)):
            _describe(self.by, 5)
        assert Accession.objects.filter(title="Journey 5").exists()

    @pytest.mark.parametrize("write", [
        lambda by: _describe(by, 1),
        lambda by: Accession.objects.update(title="x"),
        lambda by: connection.cursor().execute("DELETE FROM papers_paperlink"),
    ], ids=["a row", "a set", "plain SQL"])  # fmt: skip
    def test_nothing_is_written(self, write: Callable[[User], Any]) -> None:
        before = state()
        with pytest.raises(AsKnownError, match="read, not changed"), as_known(FIRST):
            write(self.by)
        assert state() == before

    def test_one_moment_at_a_time(self) -> None:
        with as_known(FIRST), pytest.raises(AsKnownError, match="already"), as_known(FIRST):
            pytest.fail("two moments at once")

    def test_it_ends_after_an_error(self) -> None:
        _describe(self.by, 7)
        with pytest.raises(ZeroDivisionError), as_known(FIRST):
            assert not Accession.objects.filter(title="Journey 7").exists()
            raise ZeroDivisionError
        assert Accession.objects.filter(title="Journey 7").exists()

    def test_who_may_read_is_decided_by_today(self) -> None:
        """What was open to everybody then does not open again what is restricted now."""
        paper = _first(Paper, 0)
        paper.restricted_to, paper.restricted_why = 8, "names the finders"
        record(paper, by=self.by, why="restricted")
        with as_known(FIRST):
            assert Paper.objects.get(pk=paper.pk).restricted_to == 8

    def test_what_no_history_keeps_is_as_now(self) -> None:
        """The hash of a password is in no history; of a person who is gone there is none at all."""
        gone = make.person("auditor", username="gone")
        with at(FIRST + timedelta(hours=1)):
            record(gone, by=self.by, why="a person")
        remove(gone, by=self.by, why="left")
        with as_known(FIRST + timedelta(hours=2)):
            assert User.objects.get(username="gone").password == ""


def test_a_day_ends_where_the_museum_is() -> None:
    """31 March 2024, the day of the change to summer time: 23:59:59.999999 there is 21:59:59.999999 UTC."""
    with mock.patch("django.utils.timezone.get_default_timezone", lambda: ZoneInfo("Europe/Stockholm")):
        assert moment_of(date(2024, 3, 31)).astimezone(UTC) == datetime(2024, 3, 31, 21, 59, 59, 999999, tzinfo=UTC)
