"""A past for the large register of the lists: who entered what on which day, what was changed since, and its verdicts.

Nine tenths of the material came on one day; the rest in deliveries since. On sixty days material was named anew, events
and papers were amended, papers linked and taken off, verdicts changed and decided beside. Written straight into the
database, set by set. Everything is invented.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from datetime import UTC, date, datetime, timedelta
from typing import Any

from django.apps import apps
from django.db import connection, models, transaction

from accessions.material.models import Determination, SamplingEvent, Specimen
from accessions.people.models import User
from governance.papers.models import Paper, PaperLink, PaperStatus, PaperVersion
from governance.verdicts.models import Override, Result, Run, Standing
from governance.verdicts.standing_columns import fill_columns
from tests.bench.desk_register import fill_desk
from tests.bench.lists_register import Say, build
from tests.bench.reports_register import fill_uses

FIRST = datetime(2024, 6, 3, 8, tzinfo=UTC)
LAST = datetime(2026, 11, 24, 15, tzinfo=UTC)
DAYS, USES = 60, 2_000
_DATED = {"papers_paperlink": "linked_at", "papers_paperscan": "filed_at", "scans_filing": "filed_at"}


def days() -> list[datetime]:
    """The days on which something was changed, an equal time apart."""
    return [FIRST + (LAST - FIRST) * (n + 1) / DAYS for n in range(DAYS)]


def build_past(specimens: int, say: Say, uses: int = USES, seed: int = 8) -> None:
    """Fill an empty database."""
    build(specimens, say)
    request = fill_desk(min(1_000, specimens))
    with transaction.atomic():
        fill_uses(random.Random(seed), uses)
        _determinations()
        say("papers, uses, determinations")
    user = User.objects.get(pk=request.items.values_list("added_by", flat=True)[0])
    with transaction.atomic():
        _creations(user.pk)
        _first_results()
        say("how everything came in")
    lot = random.Random(seed)
    for number, day in enumerate(days()):
        with transaction.atomic():
            _change(lot, number, day, user)
    fill_columns("SELECT specimen_id FROM verdicts_override")
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    say("what was changed since")


def history_of(model: type[models.Model]) -> type[models.Model] | None:
    """The model of its history, if it keeps one."""
    keeper = getattr(model, "history", None)
    return keeper.model if keeper is not None else None


def _tracked() -> Iterator[tuple[type[models.Model], type[models.Model]]]:
    for model in apps.get_models():
        history = history_of(model)
        if history is not None and not model.__name__.startswith("Historical"):
            yield model, history


def _run_sql(sql: str, parameters: Sequence[Any] = ()) -> None:
    with connection.cursor() as cursor:
        cursor.execute(sql, list(parameters))


def _keep(model: type[models.Model], at: datetime, where: str, user: int, kind: str = "~", why: str = "") -> None:
    """The present state of some rows as their history of that moment."""
    history = history_of(model)
    assert history is not None
    kept = {field.column for field in history._meta.concrete_fields}
    own = ", ".join(f'"{f.column}"' for f in model._meta.concrete_fields if f.column in kept)
    _run_sql(
        f"INSERT INTO {history._meta.db_table} "
        f"({own}, history_date, history_change_reason, history_type, history_user_id) "
        f"SELECT {own}, %s, %s, %s, %s FROM {model._meta.db_table} WHERE {where}",
        [at, why, kind, user],
    )


_DETERMINE = (
    "INSERT INTO material_determination (specimen_id, name_id, identified_by, date_identified, remarks, is_current)"
)


def _determinations() -> None:
    """Of three specimens in five somebody said what they are."""
    _run_sql(f"{_DETERMINE} SELECT id, name_id, 'J. Ek', '2024', '', TRUE FROM material_specimen WHERE id %% 5 < 3")


def _creations(user: int) -> None:
    """When each row was entered: by its key, so that one register has one past."""
    late = int(Specimen.objects.count() * 0.9)
    for model, history in _tracked():
        _run_sql(f"DELETE FROM {history._meta.db_table}")
        column = {Specimen: "id", Determination: "specimen_id"}.get(model)  # type: ignore[call-overload]
        if column:
            _keep(model, FIRST, f"{column} <= {late}", user, "+", "Taken in")
            for number, day in enumerate(days()):
                _keep(model, day, f"{column} > {late} AND {column} %% {DAYS} = {number}", user, "+", "Taken in")
        elif model._meta.app_label == "usedesk":
            for number, day in enumerate(days()):
                _keep(model, day, f"id %% {DAYS} = {number}", user, "+")
        else:
            _keep(model, FIRST, "1 = 1", user, "+")
    for table, column in _DATED.items():
        _run_sql(f"UPDATE {table} SET {column} = %s", [FIRST])


def _run_of(at: datetime, why: str) -> Run:
    run = Run.objects.create(state="done", engine_version="bench", scope="all", why=why, started_at=at, finished_at=at)
    Run.objects.filter(pk=run.pk).update(asked_at=at)
    return run


def _first_results() -> None:
    """The one run that the lists know judged what came first; what came later was judged on its day."""
    late = int(Specimen.objects.count() * 0.9)
    Run.objects.update(started_at=FIRST, finished_at=FIRST + timedelta(hours=1), asked_at=FIRST)
    _results(Run.objects.get(), f"specimen_id <= {late}")
    for number, day in enumerate(days()):
        where = f"specimen_id > {late} AND specimen_id %% {DAYS} = {number}"
        run = _run_of(day + timedelta(minutes=5), "taken in")
        _run_sql(f"UPDATE verdicts_standing SET run_id = %s WHERE {where}", [run.pk])
        _results(run, where)


def _results(run: Run, where: str) -> None:
    _run_sql(
        "INSERT INTO verdicts_result (run_id, specimen_id, ruling_id, event_id, name_id) "
        f"SELECT %s, specimen_id, ruling_id, event_id, name_id FROM {Standing._meta.db_table} WHERE {where}",
        [run.pk],
    )


def _change(lot: random.Random, number: int, day: datetime, user: User) -> None:
    """What one day brought."""
    named = _named(number, day, user.pk)
    step = 2_000
    _run_sql(f"UPDATE material_specimen SET remarks = %s WHERE id %% {step} = {number + 400}", [f"seen, {number}"])
    _keep(Specimen, day, f"id %% {step} = {number + 400}", user.pk, why="Seen")
    where = f"id %% {step} = {number + 700}"
    _run_sql(f"UPDATE material_samplingevent SET locality = %s WHERE {where}", [f"by the water, {number}"])
    _keep(SamplingEvent, day, where, user.pk, why="Place read anew")
    _papers(lot, number, day, user)
    _judge(day, named)
    _decide(number, day, user)


def _named(number: int, day: datetime, user: int) -> str:
    """One specimen in 700 gets another name; the determination before it stays."""
    where = f"id %% 700 = {number + 20}"
    _run_sql(f"UPDATE material_specimen SET name_id = 1 + name_id %% (SELECT count(*) FROM names_writtenname) "
             f"WHERE {where}")  # fmt: skip
    _keep(Specimen, day, where, user, why="Named anew")
    of_them = f"specimen_id %% 700 = {number + 20}"
    earlier = f"{of_them} AND date_identified <> '{day.date()}'"
    _run_sql(f"UPDATE material_determination SET is_current = FALSE WHERE {of_them}")
    _keep(Determination, day, of_them, user, why="Named anew")
    _run_sql(
        f"{_DETERMINE} SELECT id, name_id, 'M. Lind', %s, '', TRUE FROM material_specimen WHERE {where}",
        [str(day.date())],
    )  # fmt: skip
    _keep(Determination, day, f"{of_them} AND date_identified = '{day.date()}'", user, "+", "Named anew")
    gone = f"{earlier} AND specimen_id %% 7000 = {number + 20}"
    _keep(Determination, day + timedelta(minutes=1), gone, user, "-", "Written twice")
    _run_sql(f"DELETE FROM material_determination WHERE {gone}")
    return of_them


def _papers(lot: random.Random, number: int, day: datetime, user: User) -> None:
    """Two papers are amended, one changes its state; links come and go."""
    papers = list(Paper.objects.filter(reference__startswith="USE-").order_by("pk"))
    for paper in lot.sample(papers, 2):
        start = max(PaperVersion.objects.filter(paper=paper).values_list("in_force_from", flat=True)) + timedelta(30)
        version = PaperVersion.objects.bulk_create([PaperVersion(paper=paper, in_force_from=start)])[0]
        _keep(PaperVersion, day, f"id = {version.pk}", user.pk, "+", "Amended")
        Paper.objects.filter(pk=paper.pk).update(issuer=f"Sundvik Authority, office {number}")
        _keep(Paper, day, f"id = {paper.pk}", user.pk, why="Amended")
    if number % 4 == 0:
        state = PaperStatus(paper=lot.choice(papers), state="suspended", from_on=day.date() + timedelta(number))
        PaperStatus.objects.bulk_create([state])
        _keep(PaperStatus, day, f"id = {state.pk}", user.pk, "+", "Suspended")
    standing = list(PaperLink.objects.filter(unlinked_at=None, accession__isnull=False).order_by("pk")[:2])
    PaperLink.objects.filter(pk__in=[one.pk for one in standing]).update(unlinked_at=day, unlinked_by=user)
    free = list(Specimen.objects.exclude(paper_links__isnull=False).order_by("pk").values_list("pk", flat=True)[:5])
    PaperLink.objects.bulk_create(
        PaperLink(paper=lot.choice(papers), specimen_id=pk, linked_by=user, linked_at=day) for pk in free
    )
    PaperLink.objects.filter(linked_by=user, specimen__in=free).update(linked_at=day)  # the column sets itself to now


def _judge(day: datetime, named: str) -> None:
    """The run that followed: other rulings for what was named anew."""
    run = _run_of(day + timedelta(hours=1), "named anew")
    _run_sql(
        "UPDATE verdicts_standing SET run_id = %s, name_id = (SELECT name_id FROM material_specimen s "
        "WHERE s.id = specimen_id), ruling_id = 1 + ruling_id %% (SELECT count(*) FROM verdicts_ruling) "
        f"WHERE {named}", [run.pk],
    )  # fmt: skip
    _results(run, named)
    fill_columns(f"SELECT specimen_id FROM {Result._meta.db_table} WHERE run_id = {run.pk}")


def _decide(number: int, day: datetime, user: User) -> None:
    """A decision beside a verdict; every fifth is withdrawn a day later."""
    specimen = 1 + number * 37 % Specimen.objects.count()
    strip = Standing.objects.get(pk=specimen).ruling.strip
    layer = number % 9
    override = Override(specimen_id=specimen, layer=layer, computed=int(strip[layer]), decided=1, decided_by=user,
                        reason="The letter of the authority says so.")  # fmt: skip
    Override.objects.bulk_create([override])
    Override.objects.filter(pk=override.pk).update(decided_at=day)
    _keep(Override, day, f"id = {override.pk}", user.pk, "+", "Decided")
    if number % 5 == 0:
        later = day + timedelta(days=1)
        Override.objects.filter(pk=override.pk).update(withdrawn_at=later, withdrawn_by=user)
        _keep(Override, later, f"id = {override.pk}", user.pk, "~", "Withdrawn")


def day_before(days_back: int) -> date:
    """A day of the past to ask about."""
    return (LAST - timedelta(days=days_back)).date()
