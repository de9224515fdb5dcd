"""Which papers speak for which rows of the legal file, by what, and in which version."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from django.db.models import Count, F, Q, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.material.models import Accession, Part
from accessions.people.access import is_open_to
from accessions.people.models import User
from governance.engine.tables import Layer
from governance.papers.models import Paper, PaperLink, PaperVersion
from governance.papers.queries.titles import with_kind_words
from governance.verdicts.models import OutcomePaper
from governance.verdicts.queries.file_material import WHOLE, Lot, RowKey, rows_of
from governance.verdicts.shown_days import span

Place = tuple[int | None, int | None]
"""Keys of a part and a delivery."""


@dataclass(frozen=True)
class CellPaper:
    """A paper as a cell names it. through: what it is linked to, in words. period: of the version in force, in words;
    "" where there is none to show. is_open: whether the reader may see what it says."""

    paper: Paper
    through: str
    period: str
    is_unread: bool
    is_open: bool


@dataclass
class Reach:
    """What a paper is linked to in one accession.

    narrower: by kind of link how many specimens at each place. targets: by kind how many sites or events. lots: by
    kind the positions of the lots behind them, each once.
    """

    everywhere: bool = False
    whole: bool = False
    parts: set[int] = field(default_factory=set)
    narrower: dict[str, Counter[Place]] = field(default_factory=lambda: defaultdict(Counter))
    targets: dict[str, set[int]] = field(default_factory=lambda: defaultdict(set))
    lots: dict[str, set[int]] = field(default_factory=lambda: defaultdict(set))


def reaches_of(accession: Accession, lots: Sequence[Lot]) -> dict[int, Reach]:
    """By paper what of the accession it is linked to: three queries, whatever the number of papers."""
    found: dict[int, Reach] = defaultdict(Reach)
    direct = Q(all_accessions=True) | Q(accession=accession) | Q(part__accession=accession)
    for paper, every, part in _standing().filter(direct).values_list("paper", "all_accessions", "part"):
        reach = found[paper]
        reach.everywhere |= every
        reach.whole |= not every and part is None
        if part is not None:
            reach.parts.add(part)
    _add_specimens(found, accession)
    _add_places(found, lots)
    for reach in found.values():
        for kind, positions in reach.lots.items():
            for position in positions:
                lot = lots[position]
                reach.narrower[kind][lot.part, lot.delivery] += lot.specimens
    return dict(found)


def _standing() -> QuerySet[PaperLink]:
    return PaperLink.objects.filter(unlinked_at__isnull=True).order_by()


def _add_specimens(found: dict[int, Reach], accession: Accession) -> None:
    rows = _standing().filter(specimen__accession=accession)
    counted = rows.values_list("paper", "specimen__part", "specimen__delivery").annotate(Count("pk"))
    for paper, part, delivery, number in counted:
        found[paper].narrower["specimen"][part, delivery] += number


def _add_places(found: dict[int, Reach], lots: Sequence[Lot]) -> None:
    """Links to sites and events; one to an event speaks for every statement of its number in this accession."""
    at_site, of_event, of_number = _indexed(lots)
    number_of = {lot.event: lot.number for lot in lots}
    narrow = _standing().filter(Q(site__isnull=False) | Q(event__isnull=False))
    for paper, site, event in narrow.values_list("paper", "site", "event"):
        kind, key = ("site", site) if site is not None else ("event", event)
        here = at_site.get(key, ()) if kind == "site" else of_event.get(key, ())
        if not here:
            continue
        if kind == "event" and number_of[key]:
            here = of_number[number_of[key]]
        reach = found[paper]
        reach.targets[kind].add(key)
        reach.lots[kind].update(here)


def _indexed(lots: Sequence[Lot]) -> tuple[dict[int, list[int]], dict[int, list[int]], dict[str, list[int]]]:
    """Positions of the lots by site, by event and by number of the event."""
    at_site, of_event, of_number = defaultdict(list), defaultdict(list), defaultdict(list)
    for position, lot in enumerate(lots):
        of_event[lot.event].append(position)
        if lot.site is not None:
            at_site[lot.site].append(position)
        if lot.number:
            of_number[lot.number].append(position)
    return at_site, of_event, of_number


Tested = Mapping[tuple[RowKey, Layer, int], set[date | None]]
"""By row, layer and paper the first days of the versions that specimens were held against."""


def versions_tested(rulings: Mapping[RowKey, Collection[int]]) -> Tested:
    """The versions in force on the days tested: one query. rulings: keys of those that stand in each row."""
    rows_of_ruling: dict[int, list[RowKey]] = defaultdict(list)
    for row, keys in rulings.items():
        for ruling in keys:
            rows_of_ruling[ruling].append(row)
    found: dict[tuple[RowKey, Layer, int], set[date | None]] = defaultdict(set)
    used = OutcomePaper.objects.filter(outcome__rulings__ruling__in=list(rows_of_ruling)).order_by()
    columns = ("outcome__rulings__ruling", "outcome__layer", "paper", "versions")
    for ruling, layer, paper, versions in used.values_list(*columns).distinct():
        days = {date.fromisoformat(day) if day else None for day in versions}
        for row in rows_of_ruling.get(ruling, ()):
            found[row, Layer(layer), paper] |= days
    return found


@dataclass(frozen=True)
class FilePapers:
    """The papers of a legal file: with their versions, what each reaches and what of each was tested."""

    papers: Mapping[int, Paper]
    reaches: Mapping[int, Reach]
    tested: Tested
    lots: Mapping[Place, int]
    letters: Mapping[int, str]
    reader: User

    def of_cell(self, row: RowKey, layer: Layer, specimens: int) -> tuple[CellPaper, ...]:
        """The papers of this layer that speak for anything in the row, by reference."""
        found = []
        for key, reach in self.reaches.items():
            paper = self.papers[key]
            if paper.layers >> layer & 1:
                through = self._through(reach, row, specimens)
                if through:
                    found.append(self._cell_paper(paper, row, layer, through))
        return tuple(sorted(found, key=lambda used: used.paper.reference))

    def _cell_paper(self, paper: Paper, row: RowKey, layer: Layer, through: str) -> CellPaper:
        versions = list(paper.versions.all())
        is_open = is_open_to(self.reader, paper.restricted_to)
        days = self.tested.get((row, layer, paper.pk), set())
        used = [version for version in versions if version.in_force_from in days] or versions
        period = ", ".join(period_words(version) for version in used) if is_open else ""
        return CellPaper(paper, through, period, not versions, is_open)

    def _through(self, reach: Reach, row: RowKey, specimens: int) -> str:
        if reach.everywhere:
            return _("linked to every accession")
        if reach.whole:
            return _("linked to the whole accession")
        if row.kind == "part" and row.key in reach.parts:
            return _("linked to this part")
        words = [*self._parts(reach, row), *self._narrower(reach, row, specimens)]
        return _("linked to %(what)s") % {"what": ", ".join(words)} if words else ""

    def _parts(self, reach: Reach, row: RowKey) -> list[str]:
        if row.kind not in ("whole", "delivery"):
            return []
        here = {part for part in reach.parts if row == WHOLE or self._holds(row, part)}
        letters = sorted(self.letters[part] for part in here if part in self.letters)
        if not letters:
            return []
        named = ngettext("part %(letters)s", "parts %(letters)s", len(letters))
        return [named % {"letters": ", ".join(letters)}]

    def _holds(self, row: RowKey, part: int) -> bool:
        return any(place[0] == part and row in rows_of(*place) for place in self.lots)

    def _narrower(self, reach: Reach, row: RowKey, specimens: int) -> list[str]:
        words = []
        for kind, places in reach.narrower.items():
            count = sum(number for place, number in places.items() if row in rows_of(*place))
            if count:
                words.append(_narrower_words(kind, len(reach.targets[kind]), count, specimens))
        return words


def _narrower_words(kind: str, targets: int, count: int, specimens: int) -> str:
    if kind == "specimen":
        return ngettext("%(n)s specimen of %(of)s", "%(n)s specimens of %(of)s", count) % {"n": count, "of": specimens}
    named = (
        ngettext("%(n)s event", "%(n)s events", targets)
        if kind == "event"
        else ngettext("%(n)s site", "%(n)s sites", targets)
    ) % {"n": targets}
    return _("%(what)s (%(n)s of %(of)s specimens)") % {"what": named, "n": count, "of": specimens}


def period_words(version: PaperVersion) -> str:
    """From when to when a version is in force, short."""
    first, last = version.in_force_from, version.in_force_to
    if first and last:
        return span(first, last)
    if first:
        return _("from %(day)s") % {"day": span(first, first)}
    if last:
        return _("from an unknown day to %(day)s") % {"day": span(last, last)}
    return _("days not known")


def file_papers(
    accession: Accession, parts: Iterable[Part], lots: Sequence[Lot], rulings: Mapping[RowKey, Collection[int]],
    reader: User,
) -> FilePapers:  # fmt: skip
    """All that the cells need of papers: six queries."""
    reaches = reaches_of(accession, lots)
    places: Counter[Place] = Counter()
    for lot in lots:
        places[lot.part, lot.delivery] += lot.specimens
    return FilePapers(
        papers=Paper.objects.prefetch_related("versions").in_bulk(list(reaches)),
        reaches=reaches,
        tested=versions_tested(rulings),
        lots=places,
        letters={part.pk: part.letter for part in parts},
        reader=reader,
    )


_MOST_OFFERED = 500


def papers_to_attach(layer: Layer) -> list[tuple[str, str]]:
    """References and kinds of the papers that answer a layer, for a list to choose from: one query."""
    papers = Paper.objects.annotate(answers=F("layers").bitand(1 << layer)).filter(answers__gt=0)
    return with_kind_words(papers.order_by("reference").values_list("reference", "kind")[:_MOST_OFFERED])
