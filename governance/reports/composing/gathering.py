"""Everything that a report to a country or on an agreement reads, table by table, and the report around it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from governance.duties.queries.benefits import PromiseLine
from governance.jurisdictions.codes import country_name
from governance.papers.restriction import check_readable
from governance.reports.composing import (
    benefits,
    duties,
    figures,
    material,
    papers,
    unknown,
    uses,
    verdicts,
    whereabouts,
)
from governance.reports.composing.declared import parts_of
from governance.reports.composing.disclosing import Disclosing
from governance.reports.composing.facts import facts_of
from governance.reports.composing.framing import framed
from governance.reports.composing.notes import notes_of
from governance.reports.composing.places import Mapped, mapped
from governance.reports.composing.scope import Scope
from governance.reports.contents import Composed, Disclosure, Figure, Row, TableData
from governance.reports.tables import table

EXACT: Final = "exact"

TABLES_OF_PART: Final[Mapping[str, tuple[str, ...]]] = {
    "agreement": ("papers",), "material": ("material",), "where": ("material",),
    "exceptions": ("exceptions", "remedies"), "movements": ("movements", "used"), "uses": ("uses", "used"),
    "sequences": ("sequences",), "publications": ("publications",), "deposits": ("deposits",),
    "benefits": ("promises", "given"), "losses": ("losses",), "duties": ("duties",), "unknown": ("unknown",),
    "map": ("material",),
}  # fmt: skip
"""The tables that each part rests on: a table stays out with the last of its parts."""


@dataclass
class Gathered:
    """What was read, each thing once and when it is asked for."""

    scope: Scope

    @cached_property
    def material(self) -> material.Material:
        return material.read(self.scope)

    @cached_property
    def papers(self) -> papers.Papers:
        return papers.read(self.scope, self.material)

    @cached_property
    def disclosing(self) -> Disclosing:
        return Disclosing(self.scope, self.papers.known)

    @cached_property
    def secret(self) -> frozenset[int]:
        return self.papers.secret()

    @cached_property
    def verdicts(self) -> verdicts.Verdicts:
        return verdicts.read(self.scope)

    @cached_property
    def whereabouts(self) -> whereabouts.Whereabouts:
        return whereabouts.read(self.scope)

    @cached_property
    def uses(self) -> uses.Uses:
        return uses.read(self.scope, self.material, self.whereabouts)

    @cached_property
    def promises(self) -> list[PromiseLine]:
        return benefits.promise_lines(self.scope, self.papers, self.disclosing)

    @cached_property
    def parts(self) -> tuple[str, ...]:
        return parts_of(self.scope.report)

    def rows(self, key: str) -> list[Row]:
        """The rows of a table."""
        return _ROWS[key](self)


def _material(all_: Gathered) -> list[Row]:
    shown = material.Shown(all_.verdicts.worst, all_.whereabouts, all_.secret)
    return material.rows_of(all_.material, shown, all_.disclosing)


def _used(all_: Gathered) -> list[Row]:
    moved, done = "movements" in all_.parts, "uses" in all_.parts
    return uses.used(all_.uses, all_.disclosing, moved=moved, done=done)


_ROWS: Final[Mapping[str, Callable[[Gathered], list[Row]]]] = {
    "papers": lambda one: papers.rows_of(one.papers, one.disclosing),
    "material": _material,
    "exceptions": lambda one: verdicts.rows_of(one.material, one.verdicts, one.secret, one.disclosing),
    "remedies": lambda one: uses.remedies(one.uses, one.disclosing),
    "movements": lambda one: uses.movements(one.uses, one.disclosing),
    "uses": lambda one: uses.uses_of(one.uses, one.disclosing),
    "used": _used,
    "sequences": lambda one: uses.sequences(one.uses, one.disclosing),
    "publications": lambda one: uses.publications(one.uses, one.disclosing.masked),
    "deposits": lambda one: benefits.deposits(one.scope, one.disclosing),
    "promises": lambda one: benefits.promises(one.promises, one.disclosing),
    "given": lambda one: benefits.given(one.scope, one.papers, one.disclosing),
    "losses": lambda one: uses.losses(one.uses, one.disclosing),
    "duties": lambda one: duties.rows_of(one.scope, one.papers, one.disclosing),
    "unknown": lambda one: unknown.rows_of(
        one.scope, one.material, one.verdicts, one.papers, one.uses, one.disclosing
    ),
}  # fmt: skip


def composed_of(scope: Scope, order: Collection[str]) -> Composed:
    """The report with these tables, in this order, so far as one of its parts needs them.

    Raises:
        RestrictedPaperError: it is about a paper that the person who composes it may not read.
    """
    if scope.report.paper is not None:
        check_readable(scope.report.paper, scope.reader)
    all_ = Gathered(scope)
    wanted = {key for part in all_.parts for key in TABLES_OF_PART.get(part, ())}
    tables = {key: table(key, all_.rows(key)) for key in order if key in wanted}
    drawn = mapped(all_.material, all_.papers, all_.secret, all_.disclosing) if "map" in all_.parts else None
    told = figures.figures_of(tables)
    scope.tell("figures", len(told), len(told))
    return _whole(all_, tables, told, drawn)


def _whole(all_: Gathered, tables: Mapping[str, TableData], told: list[Figure], drawn: Mapped | None) -> Composed:
    scope, disclosing = all_.scope, all_.disclosing
    facts = facts_of(scope, all_.papers, disclosing, told)
    notes = notes_of(scope, tables, all_.promises if "promises" in tables else (), disclosing, drawn)
    subject, reader = _subject(scope, disclosing), _reader(scope, disclosing)
    return framed(
        scope, subject, Disclosure(reader, EXACT, kept_back=disclosing.notes()), list(tables.values()),
        facts=facts, figures=told, notes=notes, map_data=drawn.map if drawn else None,
    )  # fmt: skip


def _subject(scope: Scope, disclosing: Disclosing) -> str:
    """What it is about, in words that need no language: the reference of the paper, else the code of the country."""
    paper = scope.report.paper
    return disclosing.masked(paper.reference) or "" if paper else scope.report.country


def _reader(scope: Scope, disclosing: Disclosing) -> str:
    """For whom it is: the addressee as written, else the country."""
    written = scope.report.addressee.strip().splitlines()
    return written[0] if written else country_name(scope.country) or _subject(scope, disclosing)
