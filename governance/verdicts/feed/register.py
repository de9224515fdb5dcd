"""The register, or a part of it, ready to be judged."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from accessions.values import split_list
from governance.engine.distinct import distinct
from governance.engine.tables import NONE, IntColumn, LongColumn, Material, Requirements, Specimens, Words
from governance.engine.taxa import Classification
from governance.papers.queries import Links
from governance.verdicts.feed.facts import Names, Statements, names, statements
from governance.verdicts.feed.links import accession_key, specimen_key
from governance.verdicts.feed.papers import FedPapers, fed_papers
from governance.verdicts.feed.rules import House, house, requirements
from governance.verdicts.feed.specimens import Asked, SpecimenRows, specimen_rows
from governance.verdicts.material import Row


@dataclass(frozen=True)
class Feed:
    """What is judged, and by what. specimens: their keys and what they point at, in the order of the material."""

    specimens: SpecimenRows
    material: Material
    classification: Classification
    papers: FedPapers
    requirements: Requirements
    house: House


def feed(
    ids: LongColumn | None = None,
    linked: Mapping[int, Links] | None = None,
    papers: FedPapers | None = None,
) -> Feed:
    """Read the register. Specimens are read before what they point at, which cannot go while they are there.

    Args:
        ids: keys of the specimens to judge, ascending; None for all.
        linked: what the papers are linked to that can speak for these specimens; None for all papers.
        papers: these papers, if the caller has read them already.
    """
    the_house = house()
    if papers is None:
        papers = fed_papers(linked=linked)
    specimens = specimen_rows(ids, _asked(papers, the_house))
    known = None if ids is None else (specimens.event, specimens.delivery[specimens.delivery >= 0])
    facts = statements(*(known or (None, None)))
    written = names()
    material = _material(specimens, facts, written, papers)
    return Feed(specimens, material, written.classification, papers, requirements(), the_house)


def _asked(papers: FedPapers, the_house: House) -> Asked:
    versions = [version for paper in papers.papers for version in paper.versions]
    return Asked(
        sexes=any(version.sexes != Words() for version in versions),
        life_stages=any(version.life_stages != Words() for version in versions),
        counts=any(version.caps for version in versions),
        percent=the_house.percent,
    )


def _material(specimens: SpecimenRows, facts: Statements, written: Names, papers: FedPapers) -> Material:
    event = facts.event_rows(specimens.event)
    delivery = facts.delivery_rows(specimens.delivery)
    exported, imported, transferred = (days[delivery] for days in facts.days)
    accession, accessions = _accessions(specimens)
    catalog, catalog_numbers = _linked_specimens(specimens, papers)
    table = Specimens(
        date=facts.date[event], exported=exported, imported=imported, transferred=transferred,
        place=facts.place[event], taxon=written.rows(specimens.name), methods=facts.methods[event],
        people=facts.people[event], sexes=specimens.sex, life_stages=specimens.life_stage, event=facts.number[event],
        accession=accession, catalog=catalog, count_low=specimens.count_low, count_high=specimens.count_high,
        count_assumed=specimens.count_assumed,
    )  # fmt: skip
    return Material(
        table, facts.dates, facts.places, written.taxa, facts.method_lists, facts.people_lists,
        _lists(specimens.sex_texts), _lists(specimens.stage_texts), facts.numbers, accessions, catalog_numbers,
    )  # fmt: skip


def _lists(texts: list[str]) -> list[Row]:
    return [split_list(text) for text in texts]


def _accessions(specimens: SpecimenRows) -> tuple[IntColumn, list[str]]:
    """Each accession, and each part of one, as a text of its own."""
    if not len(specimens):
        return np.zeros(0, np.int32), []
    example, column = distinct([specimens.accession, specimens.part])
    pairs = zip(specimens.accession[example].tolist(), specimens.part[example].tolist(), strict=True)
    return column, [accession_key(accession, part) for accession, part in pairs]


def _linked_specimens(specimens: SpecimenRows, papers: FedPapers) -> tuple[IntColumn, list[str]]:
    """Specimens to which a paper is linked; all others need no key."""
    listed = frozenset().union(*(paper.covers.specimens for paper in papers.papers))
    wanted = np.array(sorted(int(key[1:]) for key in listed), np.int64)
    column = np.full(len(specimens), NONE, np.int32)
    if len(wanted):
        row = np.searchsorted(wanted, specimens.ids)
        found = (row < len(wanted)) & (wanted[np.minimum(row, len(wanted) - 1)] == specimens.ids)
        column[found] = row[found]
    return column, [specimen_key(pk) for pk in wanted.tolist()]
