"""What a papers file would change in the register; nothing is written here."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from accessions.intake.problems import Problem
from accessions.material.models import SamplingEvent, Specimen
from governance.papers.models import Paper
from governance.papers.queries.differences import Difference, differences, with_kept
from governance.papers.queries.exchange_objects import exchange_objects
from governance.papers.queries.links import Links, links_of
from governance.papers.queries.named_targets import KINDS, NamedTargets, Unknown
from governance.papers.restriction import is_readable


@dataclass(frozen=True)
class PaperPlan:
    """One paper of a file. standing: as it is in the register, None if it is new."""

    value: Mapping[str, Any]
    links: Links
    standing: Paper | None = None
    differences: tuple[Difference, ...] = ()
    gone: Links = field(default_factory=Links)

    @property
    def reference(self) -> str:
        return str(self.value["reference"]).strip()

    @property
    def is_new(self) -> bool:
        return self.standing is None

    @property
    def is_changed(self) -> bool:
        return self.standing is not None and bool(self.differences)


@dataclass(frozen=True)
class ImportPlan:
    """The papers of a file in its order, what they cover that the register does not have, and warnings.

    restricted: references of papers that the reader may not read. They stay as they are, and are not compared: whether
    the file is right would tell what is in them.
    """

    file: str
    papers: tuple[PaperPlan, ...]
    unknown: tuple[Unknown, ...] = ()
    warnings: tuple[Problem, ...] = ()
    restricted: tuple[str, ...] = ()

    @property
    def new(self) -> list[PaperPlan]:
        return [paper for paper in self.papers if paper.is_new]

    @property
    def changed(self) -> list[PaperPlan]:
        return [paper for paper in self.papers if paper.is_changed]

    @property
    def unchanged(self) -> list[PaperPlan]:
        return [paper for paper in self.papers if not paper.is_new and not paper.is_changed]


def plan_import(
    objects: tuple[Mapping[str, Any], ...], file: str, warnings: tuple[Problem, ...], reader: Any
) -> ImportPlan:
    """Hold the objects of a file, read and checked, against the register. About 25 queries for any number of papers."""
    closed = _restricted(objects, reader)
    warnings = tuple(w for w in warnings if not any(w.where.startswith(f"key papers[{n}]") for n in closed))
    objects = tuple(value for n, value in enumerate(objects) if n not in closed)
    targets = NamedTargets(objects)
    references = [value["reference"].strip() for value in objects]
    standing = {paper.reference: paper for paper in Paper.objects.filter(reference__in=references)}
    papers = list(standing.values())
    told = exchange_objects(papers, with_links=False, with_uses=True)
    known = {paper.pk: value for paper, value in zip(papers, told, strict=True)}
    linked = links_of(papers) if papers else {}
    plans, unknown = [], []
    for value in objects:
        links, lost = targets.of(value)
        unknown += lost
        paper = standing.get(value["reference"].strip())
        plans.append(_plan(value, links, paper, known, linked))
    return ImportPlan(file, tuple(plans), tuple(unknown), warnings, tuple(closed.values()))


def _restricted(objects: tuple[Mapping[str, Any], ...], reader: Any) -> dict[int, str]:
    """References of papers of the register that the reader may not read, by their place in the file."""
    told = {n: value["reference"].strip() for n, value in enumerate(objects)}
    known = Paper.objects.filter(reference__in=set(told.values())).only("reference", "restricted_to")
    closed = {paper.reference for paper in known if not is_readable(paper, reader)}
    return {n: reference for n, reference in told.items() if reference in closed}


def _plan(
    value: Mapping[str, Any], links: Links, paper: Paper | None,
    known: Mapping[int, Mapping[str, Any]], linked: Mapping[int, Links],
) -> PaperPlan:  # fmt: skip
    if paper is None:
        return PaperPlan(value, links)
    told = with_kept(value, known[paper.pk])
    has = linked.get(paper.pk, Links())
    gone = _gone(value, links, has)
    found = [*differences(known[paper.pk], told), *_link_differences(links, has, gone)]
    return PaperPlan(told, links, paper, tuple(found), gone)


def _gone(value: Mapping[str, Any], links: Links, has: Links) -> Links:
    """Links that stand in the register and not in the file. A kind of link that the file cannot say is left alone."""
    covers = value.get("covers")
    gone = Links()
    if covers is None:
        return gone
    for kind in KINDS:
        if kind != "parts" or "parts" in covers:
            getattr(gone, kind).update(getattr(has, kind) - getattr(links, kind))
    gone.all_accessions = has.all_accessions and not links.all_accessions
    gone.events = _other_numbers(gone.events, links.events)
    gone.specimens = _numbered(gone.specimens)
    return gone


def _numbered(specimens: set[int]) -> set[int]:
    """Those with a catalogue number: the others cannot stand in a file, so that it does not say that they are gone."""
    rows = Specimen.objects.filter(pk__in=specimens).exclude(catalog_number="") if specimens else ()
    return {specimen.pk for specimen in rows}


def _other_numbers(gone: set[int], told: set[int]) -> set[int]:
    """A link to an event goes by its number: another row of the same number is the same event, and one without a
    number cannot stand in a file."""
    if not gone:
        return gone
    rows = dict(SamplingEvent.objects.filter(pk__in=gone | told).values_list("pk", "number"))
    numbers = {rows[key] for key in told} | {""}
    return {key for key in gone if rows[key] not in numbers}


def _link_differences(links: Links, has: Links, gone: Links) -> list[Difference]:
    found = []
    if links.all_accessions and not has.all_accessions:
        found.append(Difference("linked to", "", "every accession"))
    if gone.all_accessions:
        found.append(Difference("linked to", "every accession", ""))
    for kind in KINDS:
        fresh = len(getattr(links, kind) - getattr(has, kind))
        ended = len(getattr(gone, kind))
        if fresh or ended:
            found.append(
                Difference(f"linked {kind}", f"{ended} no longer" if ended else "", f"{fresh} more" if fresh else "")
            )
    return found
