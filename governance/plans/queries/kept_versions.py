"""Versions of a plan for people: the list of them, and one as it was."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from accessions.values import split_list
from governance.plans.models import Consignment, FieldPlan, PlanSignOff, PlanVersion, Stop
from governance.plans.queries.content_words import (
    days_words,
    label,
    layer_words,
    place_words,
    shown,
    site_words,
    target_words,
    trap_words,
    uses_words,
    way_words,
)
from governance.plans.queries.contents import FACE, HOME, Contents
from governance.plans.queries.differences import PlanDifference, differences
from governance.plans.queries.signed import sign_offs


@dataclass(frozen=True)
class VersionLine:
    """A version in the list. differences: from the one before; none for the first."""

    version: PlanVersion
    differences: tuple[PlanDifference, ...]
    sign_offs: tuple[PlanSignOff, ...]
    is_first: bool

    @property
    def subjects(self) -> str:
        """What was touched, each once, for the list."""
        return ", ".join(dict.fromkeys(one.subject for one in self.differences))

    @property
    def standing(self) -> PlanSignOff | None:
        return next((one for one in self.sign_offs if one.withdrawn_at is None), None)


@dataclass(frozen=True)
class OldStop:
    """A stop as a version has it, in words."""

    number: int
    name: str
    days: str
    where: tuple[str, ...]
    methods: tuple[str, ...]
    people: tuple[str, ...]
    targets: tuple[str, ...]
    traps: tuple[str, ...]
    way_home: str
    papers: tuple[str, ...]
    decisions: tuple[str, ...]
    remarks: str


@dataclass(frozen=True)
class OldPlan:
    """A plan as a version has it, in words. face, homes: labels with values; only what was filled."""

    title: str
    face: tuple[tuple[str, str], ...]
    stops: tuple[OldStop, ...]
    homes: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
    papers: tuple[str, ...]
    decisions: tuple[str, ...]


def versions_of(plan: FieldPlan) -> QuerySet[PlanVersion]:
    """Newest first."""
    return plan.versions.select_related("kept_by").order_by("-number")


def version_lines(plan: FieldPlan, versions: Sequence[PlanVersion]) -> list[VersionLine]:
    """Lines of some versions that follow each other, newest first. Two queries."""
    if not versions:
        return []
    older = versions_of(plan).filter(number__lt=versions[-1].number).first()
    signed: dict[int, list[PlanSignOff]] = {}
    for one in sign_offs(plan):
        signed.setdefault(one.version_id, []).append(one)
    return [
        VersionLine(
            version, differences(before.contents, version.contents) if before else (),
            tuple(signed.get(version.pk, ())), before is None,
        )
        for version, before in pairwise([*versions, older])
        if version is not None
    ]  # fmt: skip


def as_it_was(kept: Contents) -> OldPlan:
    """The contents of a version in words."""
    face = [(label(FieldPlan, name), shown(FieldPlan, name, kept.get(name))) for name in FACE if name != "title"]
    face.append((label(FieldPlan, "uses"), uses_words(kept.get("uses") or [])))
    return OldPlan(
        kept["title"],
        _filled(face),
        tuple(_stop(number, row, kept) for number, row in enumerate(kept["stops"], start=1)),
        tuple((way_words(row), _home(row)) for row in kept["ways_home"]),
        _papers(kept, None),
        _decisions(kept, None),
    )


def _filled(rows: Sequence[tuple[str, str]]) -> tuple[tuple[str, str], ...]:
    return tuple((name, value) for name, value in rows if value)


def _home(row: Contents) -> tuple[tuple[str, str], ...]:
    names = [name for name in HOME if name not in ("from_country", "to_country")]
    return _filled([(label(Consignment, name), shown(Consignment, name, row.get(name))) for name in names])


def _stop(number: int, row: Contents, kept: Contents) -> OldStop:
    country = f"{label(Stop, 'country').capitalize()} {row['country']}" if row["country"] else ""
    return OldStop(
        number, row["name"], days_words(row),
        tuple(filter(None, [site_words(row["site"]), place_words(row), country])),
        split_list(row["methods"]), split_list(row["people"]),
        tuple(map(target_words, row["targets"])), tuple(map(trap_words, row["traps"])),
        _way_of(row, kept), _papers(kept, row["key"]), _decisions(kept, row["key"]), row["remarks"],
    )  # fmt: skip


def _way_of(row: Contents, kept: Contents) -> str:
    """The way home of a stop, where there is more than one to choose from."""
    ways: list[dict[str, Any]] = kept["ways_home"]
    if len(ways) < 2:
        return ""
    return way_words(next((way for way in ways if way["key"] == row["way_home"]), ways[0]))


def _papers(kept: Contents, stop: int | None) -> tuple[str, ...]:
    return tuple(row["reference"] for row in kept["papers"] if row["stop"] == stop)


def _decisions(kept: Contents, stop: int | None) -> tuple[str, ...]:
    words = _("%(layer)s needs no paper: %(reason)s Evidence: %(evidence)s")
    return tuple(
        words % {"layer": layer_words(row["layer"]), "reason": row["reason"], "evidence": row["evidence"]}
        for row in kept["decisions"]
        if row["stop"] == stop
    )
