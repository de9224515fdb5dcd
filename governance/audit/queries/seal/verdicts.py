"""Results of assessments against their seals, and what stands against results and decisions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.db import connection
from django.utils.translation import gettext as _

from accessions.material.models import Specimen, Touch
from governance.audit.queries.seal.chain import Step
from governance.audit.queries.seal.naming import called
from governance.audit.queries.seal.problems import MOST_NAMED, Problem, ProblemKind, Problems
from governance.verdicts.models import COUNTING, COUNTING_SQL, Override, Run, RunSeal, Standing
from governance.verdicts.standing_columns import COLUMNS, cells_of
from governance.verdicts.storing.run_seals import digest_of_contents, digest_of_results

_NEWEST: Final = (
    "SELECT x.specimen_id, max(x.id) AS newest FROM verdicts_result x JOIN verdicts_run u ON u.id = x.run_id "
    "WHERE u.state = 'done' GROUP BY x.specimen_id"
)
_NOT_THE_NEWEST: Final = (
    f"SELECT t.specimen_id FROM verdicts_standing t LEFT JOIN ({_NEWEST}) n ON n.specimen_id = t.specimen_id "
    "LEFT JOIN verdicts_result x ON x.id = n.newest WHERE x.id IS NULL OR x.ruling_id <> t.ruling_id "
    "OR x.run_id <> t.run_id OR x.event_id <> t.event_id OR x.name_id <> t.name_id"
)
_WITHOUT_STANDING: Final = (
    f"SELECT n.specimen_id FROM ({_NEWEST}) n JOIN material_specimen s ON s.id = n.specimen_id "
    "LEFT JOIN verdicts_standing t ON t.specimen_id = n.specimen_id WHERE t.specimen_id IS NULL"
)
"""Of specimens that were removed results stay and nothing stands; that they were removed, their history says."""
_CELLS_DIFFER: Final = (
    "SELECT t.specimen_id FROM verdicts_standing t JOIN verdicts_ruling r ON r.id = t.ruling_id WHERE NOT EXISTS "
    "(SELECT 1 FROM verdicts_override o WHERE o.specimen_id = t.specimen_id AND "
    f"{COUNTING_SQL.format('o')}) "
    f"AND (t.is_overruled OR t.worst <> r.worst OR t.cells <> {COLUMNS['cells']})"
)
_FACTS_DIFFER: Final = (
    "SELECT t.specimen_id FROM verdicts_standing t JOIN material_specimen s ON s.id = t.specimen_id "
    "JOIN material_samplingevent e ON e.id = s.event_id JOIN material_accession a ON a.id = s.accession_id WHERE "
    + " OR ".join(f"t.{column} IS DISTINCT FROM {sql}" for column, sql in COLUMNS.items() if column != "cells")
)


def check_runs(problems: Problems, step: Step) -> None:
    """The results of each run that is done, and what was new in outcomes and rulings, against its seal."""
    seals = list(RunSeal.objects.select_related("run").order_by("run_id"))
    before: dict[str, int] = {}
    for done, seal in enumerate(seals):
        step(_("Checking verdicts"), done, len(seals))
        if digest_of_results(seal.run_id) != (seal.results, seal.results_sha256):
            _tell_run(problems, seal.run, _("its verdicts are not those that were sealed."))
        if digest_of_contents(before, seal.contents_to) != seal.contents_sha256:
            _tell_run(problems, seal.run, _("outcomes or rulings that it brought are not as they were sealed."))
        before = seal.contents_to
    for run in Run.objects.filter(state=Run.State.DONE, seal__isnull=True).order_by("pk"):
        _tell_run(
            problems, run, _("its verdicts have no seal: the register stopped while sealing, or it is older than it."),
            ProblemKind.UNSEALED,
        )  # fmt: skip
    if stray := _stray_results():
        words = _("%(count)s results are of no assessment that was done.") % {"count": intcomma(stray)}
        problems.add(Problem(ProblemKind.VERDICT, str(Run._meta.verbose_name_plural), "", words))


def _stray_results() -> int:
    """Results of a run that was stopped; those of one that goes on now do not count yet."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT count(*) FROM verdicts_result x JOIN verdicts_run u ON u.id = x.run_id WHERE u.state = 'stopped'"
        )
        return int(cursor.fetchone()[0])


def _tell_run(problems: Problems, run: Run, what: str, kind: ProblemKind = ProblemKind.VERDICT) -> None:
    record = _("assessment %(number)s, %(scope)s") % {"number": run.pk, "scope": run.scope}
    problems.add(Problem(kind, str(Run._meta.verbose_name_plural), record, what, run.pk))


def check_standings(problems: Problems, step: Step) -> None:
    """What stands is the newest result with the decisions over it; the facts that it repeats are those of the records.

    While marks wait to be taken up, facts may be ahead of what stands: then they are not compared.
    """
    checks = [
        (_NOT_THE_NEWEST, _("the verdict that lists show is not the newest.")),
        (_WITHOUT_STANDING, _("it was judged, but lists show no verdict.")),
        (_CELLS_DIFFER, _("the verdict that lists show is not that of its ruling.")),
    ]
    if not Touch.objects.exists() and not Run.objects.filter(state=Run.State.RUNNING).exists():
        checks.append((_FACTS_DIFFER, _("lists show other facts than the record has.")))
    for done, (sql, what) in enumerate(checks):
        step(_("Checking what stands"), done, len(checks) + 1)
        with connection.cursor() as cursor:
            cursor.execute(sql)
            _tell(problems, sorted(key for (key,) in cursor.fetchall()), what)
    _tell(problems, _wrongly_overruled(), _("the verdict that lists show is not what was decided."))


def _wrongly_overruled() -> list[int]:
    """Specimens with standing decisions whose row does not say so: worked out anew from ruling and decisions."""
    decided: dict[int, dict[tuple[int, int], int]] = {}
    for one in Override.objects.filter(COUNTING):
        decided.setdefault(one.specimen_id, {})[one.layer, one.computed] = one.decided
    found = []
    keys = sorted(decided)
    for start in range(0, len(keys), 1000):
        rows = Standing.objects.filter(pk__in=keys[start : start + 1000]).select_related("ruling")
        for row in rows:
            strip = enumerate(map(int, row.ruling.strip))
            verdicts = [decided[row.pk].get((layer, verdict), verdict) for layer, verdict in strip]
            if (row.cells, row.worst, row.is_overruled) != (cells_of(verdicts), max(verdicts), True):
                found.append(row.pk)
    return found


def _tell(problems: Problems, keys: Sequence[int], what: str) -> None:
    words = str(_("verdicts"))
    for key in keys[:MOST_NAMED]:
        problems.add(Problem(ProblemKind.VERDICT, words, called(Specimen, key), what, key))
    problems.add_uncounted(ProblemKind.VERDICT, words, max(0, len(keys) - MOST_NAMED))
