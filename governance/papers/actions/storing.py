"""Objects of papers written into the register, each row with its history, in the transaction of an action."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django.db import models

from accessions.people.history import remove
from governance.papers.actions.rows import change_row, create_rows
from governance.papers.actions.storing_uses import change_uses, store_uses
from governance.papers.columns import (
    TERMS,
    Columns,
    Object,
    VersionColumns,
    paper_columns,
    status_columns,
    version_columns,
)
from governance.papers.lifetimes import moved_start
from governance.papers.models import Paper, PaperStatus, PaperVersion


def store_new(objects: Sequence[Object], *, by: Any, why: str) -> list[Paper]:
    """Papers with their first versions and turns: two inserts a table, rows and history, however many papers."""
    papers = create_rows(Paper, [Paper(**paper_columns(value)) for value in objects], by=by, why=why)
    turns = [PaperStatus(paper=p, **turn) for p, v in zip(papers, objects, strict=True) for turn in status_columns(v)]
    create_rows(PaperStatus, turns, by=by, why=why)
    told = [(paper, v) for paper, value in zip(papers, objects, strict=True) for v in version_columns(value)]
    store_versions(told, by=by, why=why)
    return papers


def store_versions(told: Sequence[tuple[Paper, VersionColumns]], *, by: Any, why: str) -> list[PaperVersion]:
    """Versions with all their lines."""
    versions = create_rows(PaperVersion, [PaperVersion(paper=p, **v.own) for p, v in told], by=by, why=why)
    for table in TERMS:
        rows = [
            table(version=version, **columns)
            for version, (_, told_version) in zip(versions, told, strict=True)
            for columns in told_version.terms.get(table, ())
        ]
        create_rows(table, rows, by=by, why=why)
    uses = [(version, v.uses) for version, (_, v) in zip(versions, told, strict=True) if v.uses is not None]
    store_uses(uses, by=by, why=why)
    return versions


def store_changes(paper: Paper, value: Object, *, by: Any, why: str) -> None:
    """Make a paper what the object says; rows that say the same already are left alone."""
    change_row(paper, paper_columns(value), by=by, why=why)
    _change_lines(PaperStatus, paper.statuses.all(), status_columns(value), {"paper": paper}, by=by, why=why)
    standing = {version.in_force_from: version for version in paper.versions.all()}
    told = {version.own["in_force_from"]: version for version in version_columns(value)}
    moved = moved_start(standing, told)
    if moved:
        standing[moved[1]] = standing.pop(moved[0])
    for start in standing.keys() - told.keys():
        remove(standing[start], by=by, why=why)
    for start in standing.keys() & told.keys():
        change_version(standing[start], told[start], by=by, why=why)
    store_versions([(paper, version) for start, version in told.items() if start not in standing], by=by, why=why)


def change_version(version: PaperVersion, told: VersionColumns, *, by: Any, why: str) -> None:
    """The same for one version and its lines."""
    change_row(version, told.own, by=by, why=why)
    for table in TERMS:
        rows = table.objects.filter(version=version)  # type: ignore[attr-defined]
        _change_lines(table, rows, told.terms.get(table, ()), {"version": version}, by=by, why=why)
    if told.uses is not None:
        change_uses(version, told.uses, by=by, why=why)


def _change_lines(
    table: type[models.Model], rows: Iterable[models.Model], told: Sequence[Columns],
    owner: Mapping[str, Any], *, by: Any, why: str,
) -> None:  # fmt: skip
    """Lines have no number of their own: those that say the same are kept, the others go and come."""
    wanted = Counter(_key(columns) for columns in told)
    for row in rows:
        key = _key({name: getattr(row, name) for name in told[0]}) if told else ()
        if wanted[key] > 0:
            wanted[key] -= 1
        else:
            remove(row, by=by, why=why)
    missing = [columns for columns in reversed(told) if _taken(wanted, _key(columns))]
    create_rows(table, [table(**owner, **columns) for columns in reversed(missing)], by=by, why=why)


def _key(columns: Mapping[str, Any]) -> tuple[tuple[str, Any], ...]:
    return tuple(sorted(columns.items(), key=lambda item: item[0]))


def _taken(wanted: Counter[tuple[tuple[str, Any], ...]], key: tuple[tuple[str, Any], ...]) -> bool:
    if wanted[key] <= 0:
        return False
    wanted[key] -= 1
    return True
