"""Counts that a process keeps are those of what stands now: after a run, a decision, its withdrawal, and a removal."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from django.core.cache import cache
from django.utils import timezone

from accessions.people.models import Role
from governance.engine.tables import Layer, Verdict
from governance.verdicts.actions.overrides import overrule, withdraw
from governance.verdicts.models import Run
from governance.verdicts.queries import kept_counts
from governance.verdicts.queries.filters import Filters
from governance.verdicts.queries.kept_counts import kept_count
from governance.verdicts.queries.reasons import shared_reasons
from governance.verdicts.queries.today import countries
from tests.factories import register
from tests.factories.verdicts import judged

pytestmark = pytest.mark.django_db

REASON = "The letter of the owner covers this."


@pytest.fixture(autouse=True)
def _large(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Every register is large."""
    monkeypatch.setattr(kept_counts, "LARGE", 0)
    cache.clear()
    yield
    cache.clear()


def counter() -> tuple[list[int], Callable[[], int]]:
    """How often it was counted, and the counting."""
    counted: list[int] = []

    def count() -> int:
        counted.append(1)
        return len(counted)

    return counted, count


def test_counted_once_while_nothing_changes() -> None:
    judged(register.specimen("LMN-1"))
    counted, count = counter()
    assert [kept_count("x", count), kept_count("x", count), kept_count("y", count)] == [1, 1, 2]
    assert len(counted) == 2


def test_small_registers_are_counted_every_time(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kept_counts, "LARGE", 2)
    judged(register.specimen("LMN-1"))
    _counted, count = counter()
    assert [kept_count("x", count), kept_count("x", count)] == [1, 2]


def test_counted_again_after_another_run() -> None:
    judged(register.specimen("LMN-1"))
    _counted, count = counter()
    assert kept_count("x", count) == 1
    now = timezone.now()
    run = Run.objects.create(engine_version="0", scope="all", why="x", state=Run.State.RUNNING, started_at=now)
    assert kept_count("x", count) == 1
    Run.objects.filter(pk=run.pk).update(state=Run.State.DONE, finished_at=now)
    assert kept_count("x", count) == 2


def tally() -> list[tuple[str, int, int, int]]:
    return [(c.code, c.specimens, c.open, int(c.worst)) for c in countries()]


def test_countries_and_reasons_follow_decisions_and_removals() -> None:
    """Land is outside (4) for both specimens: two open, one reason with two specimens."""
    registrar = register.person(Role.REGISTRAR)
    one, other = register.specimen("LMN-1"), register.specimen("LMN-2")
    judged(one, "411111111")
    judged(other, "411111111")
    assert [(n, still_open, worst) for _, n, still_open, worst in tally()] == [(2, 2, Verdict.OUTSIDE)]
    assert [reason.specimens for reason in shared_reasons(Filters())[0]] == [2]

    made = overrule(specimen=one, layer=Layer.LAND, decided=Verdict.COVERED, reason=REASON, by=registrar)
    assert [(n, still_open) for _, n, still_open, _ in tally()] == [(2, 1)]
    assert [reason.specimens for reason in shared_reasons(Filters())[0]] == [1]

    withdraw(override=made, reason=REASON, by=registrar)
    assert [(n, still_open) for _, n, still_open, _ in tally()] == [(2, 2)]
    assert [reason.specimens for reason in shared_reasons(Filters())[0]] == [2]

    other.delete()
    assert [(n, still_open) for _, n, still_open, _ in tally()] == [(1, 1)]
    assert [reason.specimens for reason in shared_reasons(Filters())[0]] == [1]
