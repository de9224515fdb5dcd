"""Which papers bear on which specimens: by the links that the verdicts use, and by records of title.

The rule is that of ``governance.engine.pairs.linked``, over the keys of ``governance.verdicts.feed.links``; what is
left out is the reading of days, places and people, which an answer of the desk does not ask for. A test holds the two
against each other.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final, NamedTuple

from accessions.material.models import Accession
from governance.engine.tables import NONE, fold
from governance.papers.models import TitleRecord
from governance.papers.queries import Links
from governance.usedesk.queries.by_keys import rows_by_keys
from governance.verdicts.feed.facts import unshared_site_keys
from governance.verdicts.feed.links import LinkKeys, accession_key, specimen_key, specimens_of_events


class SpecimenRow(NamedTuple):
    """What papers can meet a specimen by. part, parent: ``NONE`` where there is none. name: key of the written name."""

    pk: int
    accession: int
    part: int
    event: int
    name: int
    parent: int


@dataclass(frozen=True)
class Deposits:
    """Deposits: title lies with somebody else. accession_of: those of which no paper is on file, by the negative key
    under which each bears as a paper without a name. papers: keys of papers by which something was deposited.
    """

    accession_of: Mapping[int, int] = field(default_factory=dict)
    papers: frozenset[int] = frozenset()


@dataclass(frozen=True)
class Bearing:
    """papers: for each specimen, in the order asked, the keys of the papers that bear on it by itself; a negative key
    is of ``deposits``."""

    papers: list[frozenset[int]]
    deposits: Deposits


_LINK_COLUMNS: Final = "paper_id, all_accessions, accession_id, part_id, site_id, event_id, specimen_id"
_LINKS_MET: Final = " UNION ALL ".join(
    f"SELECT {_LINK_COLUMNS} FROM papers_paperlink WHERE unlinked_at IS NULL AND {condition}"
    for condition in (
        "all_accessions",
        "site_id IS NOT NULL",
        "accession_id {keys}",
        "part_id {keys}",
        "specimen_id {keys}",
        "event_id IN (SELECT id FROM material_samplingevent WHERE id {keys} OR number {keys})",
    )
)


def bearing(rows: Sequence[SpecimenRow]) -> Bearing:
    """The papers that bear on specimens by themselves. About nine queries, however many specimens are asked for."""
    events = _events_of({row.event for row in rows})
    links = _links_met(rows, events)
    reaching = _Reaching.of(links, rows)
    titles = _Titles({row.accession for row in rows})
    at = {pk: reaching.at(event) for pk, event in events.items()}
    return Bearing([reaching.on(row) | at[row.event] | titles.on(row) for row in rows], titles.deposits)


_NOTHING: Final[frozenset[int]] = frozenset()


class _Event(NamedTuple):
    number: str
    location: str
    site_name: str
    site: int | None


def _events_of(keys: Collection[int]) -> dict[int, _Event]:
    sql = "SELECT id, number, location_id, site_name, site_id FROM material_samplingevent WHERE id {keys}"
    return {pk: _Event(*columns) for pk, *columns in rows_by_keys(sql, keys)}


def _links_met(rows: Sequence[SpecimenRow], events: Mapping[int, _Event]) -> dict[int, Links]:
    """What each paper is linked to, of all that can meet these specimens."""
    numbers = {event.number for event in events.values()} - {""}
    found: dict[int, Links] = defaultdict(Links)
    asked = rows_by_keys(
        _LINKS_MET, {row.accession for row in rows}, {row.part for row in rows} - {NONE}, [row.pk for row in rows],
        list(events), numbers,
    )  # fmt: skip
    for paper, every, *keys in asked:
        links = found[paper]
        links.all_accessions |= bool(every)
        targets = (links.accessions, links.parts, links.sites, links.events, links.specimens)
        for keys_of_kind, key in zip(targets, keys, strict=True):
            if key is not None:
                keys_of_kind.add(key)
    return dict(found)


@dataclass(frozen=True)
class _Reaching:
    """The papers by the keys of the engine that they cover."""

    everywhere: frozenset[int]
    by_accession: Mapping[str, frozenset[int]]
    by_specimen: Mapping[str, frozenset[int]]
    by_site: Mapping[str, frozenset[int]]
    site_keys: Mapping[int, tuple[str, ...]]

    @classmethod
    def of(cls, links: Mapping[int, Links], rows: Sequence[SpecimenRow]) -> _Reaching:
        keys = _link_keys(links, rows)
        covers = {paper: keys.covers(linked) for paper, linked in links.items()}
        return cls(
            frozenset(paper for paper, covered in covers.items() if covered.all_accessions),
            _turned((paper, covered.accessions) for paper, covered in covers.items()),
            _turned((paper, covered.specimens) for paper, covered in covers.items()),
            _turned((paper, covered.sites) for paper, covered in covers.items()),
            keys.site_keys,
        )

    def on(self, row: SpecimenRow) -> frozenset[int]:
        """By specimen, event, part, accession, or all."""
        return (
            self.everywhere
            | self.by_accession.get(accession_key(row.accession, row.part), _NOTHING)
            | self.by_specimen.get(specimen_key(row.pk), _NOTHING)
        )

    def at(self, event: _Event) -> frozenset[int]:
        """By site: the registered one, and what the record itself writes."""
        if not self.by_site:
            return _NOTHING
        written = (fold(text) for text in (event.location, event.site_name) if text)
        registered = self.site_keys.get(event.site, ()) if event.site is not None else ()
        return _NOTHING.union(*(self.by_site.get(key, _NOTHING) for key in (*written, *registered)))


def _turned(papers: Iterable[tuple[int, Iterable[str]]]) -> dict[str, frozenset[int]]:
    found: dict[str, set[int]] = defaultdict(set)
    for paper, keys in papers:
        for key in keys:
            found[key].add(paper)
    return {key: frozenset(of) for key, of in found.items()}


def _link_keys(links: Mapping[int, Links], rows: Sequence[SpecimenRow]) -> LinkKeys:
    """As ``feed.links.link_keys``, of the accessions, parts, events and specimens that are asked about."""
    accessions = set().union(*(linked.accessions for linked in links.values()))
    parts: dict[int, list[int]] = defaultdict(list)
    accession_of_part = {row.part: row.accession for row in rows if row.part != NONE}
    if accessions:
        for pk, accession in rows_by_keys(
            "SELECT id, accession_id FROM material_part WHERE accession_id {keys}", accessions
        ):
            parts[accession].append(pk)
    events = sorted(set().union(*(linked.events for linked in links.values())))
    return LinkKeys(
        {accession: tuple(of) for accession, of in parts.items()}, accession_of_part,
        unshared_site_keys() if any(linked.sites for linked in links.values()) else {},
        specimens_of_events(events, [row.pk for row in rows]) if events else {},
    )  # fmt: skip


_TITLES: Final = "SELECT id, accession_id, part_id, kind, paper_id FROM papers_titlerecord WHERE accession_id {keys}"
_DEPOSITED: Final = f"SELECT id FROM material_accession WHERE kind = '{Accession.Kind.DEPOSIT}' AND id {{keys}}"


class _Titles:
    """Papers of title by accession and part, and deposits without a paper.

    An accession that is itself entered as a deposit is one, but for the parts of which a record of title says by which
    paper, or that none is on file.
    """

    def __init__(self, accessions: Collection[int]) -> None:
        self._papers: dict[tuple[int, int], set[int]] = defaultdict(set)
        self._recorded: set[tuple[int, int]] = set()
        accession_of, papers = {}, set()
        for pk, accession, part, kind, paper in rows_by_keys(_TITLES, accessions):
            place = (accession, NONE if part is None else part)
            is_deposit = kind == TitleRecord.Kind.DEPOSIT
            if is_deposit:
                self._recorded.add(place)
            if paper is not None:
                self._papers[place].add(paper)
                papers |= {paper} if is_deposit else set()
            elif is_deposit:
                accession_of[-2 * pk] = accession
                self._papers[place].add(-2 * pk)
        self._whole = {accession: -2 * accession - 1 for (accession,) in rows_by_keys(_DEPOSITED, accessions)}
        accession_of |= {key: accession for accession, key in self._whole.items()}
        self.deposits = Deposits(accession_of, frozenset(papers))

    def on(self, row: SpecimenRow) -> frozenset[int]:
        places = {(row.accession, NONE), (row.accession, row.part)}
        found = _NOTHING.union(*(self._papers.get(place, _NOTHING) for place in places))
        is_recorded = not self._recorded.isdisjoint(places)
        return found if is_recorded or row.accession not in self._whole else found | {self._whole[row.accession]}
