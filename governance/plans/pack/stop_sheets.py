"""One sheet a stop: what is not settled, where it is, what the papers allow and forbid there, notices to give."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import timedelta

from shapely.geometry.base import BaseGeometry

from accessions.values import split_list, split_people
from governance.engine.tables import Layer
from governance.papers.drawing import Area, AreaKind, MapPoint
from governance.papers.models import Condition, Paper
from governance.papers.printed.blocks import Alert, Block, Facts, Line, MapOf, Para, Section, Table, Text, plain, strong
from governance.papers.printed.blocks import Cell as TableCell
from governance.plans.models import StopTarget
from governance.plans.pack.grid import decimal_degrees, degrees_minutes, utm
from governance.plans.pack.places import StopPlace, place_of, place_shape
from governance.plans.pack.sources import FIELD_LAYERS, NumberedStop, PackSources, PaperAtStop
from governance.plans.pack.terms import Term, TermWriter
from governance.plans.pack.verdict_words import code_words, layer_word, open_cells, reason_lines, stop_words, word_of
from governance.plans.queries.check import CheckedCell
from governance.verdicts.cells import Cell

_WIDEST_FRAME_DEG = 0.5
_LANGUAGE = re.compile(r"[A-Za-z]{2,3}(-[A-Za-z0-9]{2,8})*")


_FULL_STOPS = 12
"""A pack of more stops prints what a paper says once, where it is the same at several: else it is a book."""


def stop_sheets(src: PackSources) -> list[Section]:
    """A sheet for each stop of the pack."""
    printed: Printed | None = {} if len(src.stops) > _FULL_STOPS else None
    return [_sheet(stop, src, printed) for stop in src.stops]


Printed = dict[tuple[object, ...], int]
"""What was printed of papers, and at which stop."""


def _sheet(stop: NumberedStop, src: PackSources, printed: Printed | None) -> Section:
    """All of a stop, on a page of its own."""
    w, place = src.words, place_of(stop.one)
    blocks: list[Block] = [*_alerts(stop, src), Facts(w("stop"), [*_when(stop, src), *_where(stop, place, src)])]
    if place is not None:
        blocks.append(_map(stop, place, src))
    blocks.append(_layers(stop, src))
    sections = [_rules(stop, place, src, printed), _notices(stop, src)]
    title = f"{w('stop_no', number=stop.number)}. {stop.one.stop.name}"
    return Section(title, blocks, sections, new_page=True, key=f"stop-{stop.pk}")


def _alerts(stop: NumberedStop, src: PackSources) -> list[Block]:
    cells = open_cells(stop, src)
    if not cells:
        return []
    lines: list[Line] = []
    for cell in cells:
        head = Text(src.words.pair(layer_word(cell.layer, src), word_of(cell, src)) + ". ", role="strong")
        first, *rest = reason_lines(cell, src) or [(Text(""),)]
        lines += [(head, *first), *rest]
    return [Alert(" ".join(stop_words(stop, src)), lines)]


def _when(stop: NumberedStop, src: PackSources) -> list[tuple[str, Sequence[Line]]]:
    w, row = src.words, stop.one.stop
    said = w("not_said")
    facts: list[tuple[str, Sequence[Line]]] = [
        (w("days"), [strong(w.days(row.first_on, row.last_on))]),
        (w("people_planned"), [plain(w.several(split_people(row.people)) or said)]),
        (w("methods_planned"), [plain(w.several(split_list(row.methods)) or said)]),
    ]
    if stop.one.traps:
        traps = [w("trap", number=trap.number, method=trap.method, days=w.days(trap.first_on, trap.last_on))
                 for trap in stop.one.traps]  # fmt: skip
        facts.append((w("traps_planned"), [plain(trap) for trap in traps]))
    if stop.one.targets:
        groups = [w("group_expected", name=_group(target), expected=target.expected) if target.expected
                  else _group(target) for target in stop.one.targets]  # fmt: skip
        facts.append((w("groups"), [(Text(group, role="taxon"),) for group in groups]))
    if row.remarks:
        facts.append((w("remarks"), [plain(row.remarks)]))
    return facts


def _group(target: StopTarget) -> str:
    """The name, and the nearest one above it where that was said: names are the same in every language."""
    above = target.higher.rpartition("|")[2].strip() or target.kingdom
    return f"{target.name} ({above})" if above else target.name


def _where(stop: NumberedStop, place: StopPlace | None, src: PackSources) -> list[tuple[str, Sequence[Line]]]:
    w, row = src.words, stop.one.stop
    facts: list[tuple[str, Sequence[Line]]] = []
    if row.site is not None:
        facts.append((w("site"), [plain(f"{row.site.code} {row.site.name}".strip())]))
    country = row.country or (row.site.country if row.site else "")
    if country:
        facts.append((w("country"), [plain(w.country(country))]))
    if place is None:
        return [*facts, (w("place"), [strong(w("no_place"))])]
    at = (place.longitude_deg, place.latitude_deg)
    facts += [
        (w("decimal_degrees"), [strong(decimal_degrees(*at))]), (w("degrees_minutes"), [plain(degrees_minutes(*at))]),
        *_utm(at, src),
    ]  # fmt: skip
    if place.area is None:
        radius = w.distance(place.radius_m) if place.radius_m else w("radius_unknown")
        return [*facts, (w("radius"), [plain(radius), (Text(w("datum"), role="note"),)])]
    note = w("drawn_area") if place.source == "area" else w("site_area") if place.source == "site" else w("datum")
    return [*facts, (w("place"), [plain(note), (Text(w("datum"), role="note"),)])]


def _utm(at: tuple[float, float], src: PackSources) -> list[tuple[str, Sequence[Line]]]:
    found = utm(*at)
    if found is None:
        return []
    zone, is_north, east, north = found
    key = "utm_north" if is_north else "utm_south"
    return [(src.words("utm"), [plain(src.words(key, zone=zone, east=str(east), north=str(north)))])]


def _map(stop: NumberedStop, place: StopPlace, src: PackSources) -> MapOf:
    w, name = src.words, stop.one.stop.name
    areas = map_areas(stop, src)
    if place.area is not None:
        areas.append(Area(AreaKind.FOOTPRINT, place.area))
    worst = max((src.cell(stop, layer).verdict for layer in FIELD_LAYERS), default=None)
    data_v = Cell(worst).data_v if worst is not None else ""
    point = MapPoint(place.longitude_deg, place.latitude_deg, place.radius_m, data_v, label=str(stop.number))
    key = f"{w('map_key')} {w('area_note')}"
    return MapOf(w("map_of", number=stop.number, name=name), key, areas, [point])


def map_areas(stop: NumberedStop, src: PackSources) -> list[Area]:
    """The mapped areas of the papers that the reader may read and that are in force on a day of the stop.

    An area far larger than the stop does not frame the map.
    """
    first, last = stop.one.days
    if first is None or last is None:
        return []
    areas: list[Area] = []
    for at in src.papers_at(stop, FIELD_LAYERS):
        if not src.may_read(at.paper):
            continue
        for version in at.versions:
            if src.in_force.days(at.paper, version, first, last) is None:
                continue
            for row in version.versionplaces.all():
                shape = place_shape(row, src.outlines, first, last)
                if shape is not None:
                    kind = AreaKind.EXCLUDED if row.excluded else AreaKind.PERMITTED
                    label = row.site if row.excluded else at.paper.reference
                    areas.append(Area(kind, shape, label, frames=_is_near(shape)))
    return sorted(areas, key=lambda area: area.kind == AreaKind.EXCLUDED)


def _is_near(shape: BaseGeometry) -> bool:
    """Whether an area is small enough to be shown whole without the stop becoming a speck."""
    west, south, east, north = shape.bounds
    return bool(max(east - west, north - south) < _WIDEST_FRAME_DEG)


def _layers(stop: NumberedStop, src: PackSources) -> Table:
    """All nine, so that nothing seems forgotten."""
    w = src.words
    rows = []
    for layer in Layer:
        cell = src.cell(stop, layer)
        word = word_of(cell, src)
        papers: list[Line] = [plain(", ".join(used.reference for used in cell.papers))] if cell.papers else []
        if cell.margin_days is not None:
            papers.append((Text(w("margin_days", days=cell.margin_days), role="note"),))
        shown = Cell(cell.verdict).data_v
        told = TableCell([strong(word) if cell.needs_look else plain(word)], shown)
        rows.append([TableCell([plain(layer_word(layer, src))]), told, TableCell(papers)])
    return Table(w("layers_here"), [w("layer"), w("verdict"), w("papers")], rows, [24, 30, 46])


def _rules(stop: NumberedStop, place: StopPlace | None, src: PackSources, printed: Printed | None) -> Section:
    w = src.words
    writer = TermWriter(w, src.outlines, place, stop.one.days)
    sections = [_paper_rules(stop, at, writer, src, printed) for at in src.papers_at(stop, FIELD_LAYERS)]
    blocks: list[Block] = [Para(plain(w("no_papers")))] if not sections else [Para(plain(w("area_note")), "note")]
    return Section(w("rules"), blocks, sections, level=2)


def _paper_rules(
    stop: NumberedStop, at: PaperAtStop, writer: TermWriter, src: PackSources, printed: Printed | None
) -> Section:
    """What a paper says; first of all if it does not cover the stop."""
    w, paper = src.words, at.paper
    layers = w.several([layer_word(layer, src) for layer in at.layers])
    title = f"{w('rules_of', reference=paper.reference, kind=w.of('kinds', paper.kind))} · {layers}"
    blocks: list[Block] = []
    unsettled = _unsettled(stop, at, src)
    if unsettled:
        why = "; ".join(
            w.pair(layer_word(cell.layer, src), word_of(cell, src))
            + (f" ({', '.join(words)})" if (words := code_words(cell, src)) else "")
            for cell in unsettled
        )
        blocks.append(Alert(w("not_settled", why=why), []))
    if not src.may_read(paper):
        return Section(title, [*blocks, Para(strong(w("restricted", roles=src.roles(paper))))], level=3)
    if not at.versions:
        told = w("not_in_force") if paper.versions.all() else w("unread")
        return Section(title, [*blocks, Para(strong(told))], level=3)
    caption = w("rules_of", reference=paper.reference, kind=w.of("kinds", paper.kind))
    terms = [writer.terms(paper, version) for version in at.versions]
    if printed is not None:
        number = printed.setdefault((paper.pk, *(tuple(lines) for lines in terms)), stop.number)
        if number != stop.number:
            return Section(title, [*blocks, Para(plain(w("as_at", number=number)))], level=3)
    blocks += [_terms_table(lines, caption, src) for lines in terms]
    return Section(title, blocks, level=3)


def _unsettled(stop: NumberedStop, at: PaperAtStop, src: PackSources) -> list[CheckedCell]:
    """The cells that need a look for which this paper stood when they were decided, or for which none did."""
    cells = [src.cell(stop, layer) for layer in at.layers]
    return [cell for cell in cells if cell.needs_look and (not at.is_tested or at.paper.pk in _deciding(cell))]


def _deciding(cell: CheckedCell) -> set[int]:
    return {used.pk for answer in cell.answers if answer.verdict == cell.verdict for used in answer.papers}


def _terms_table(terms: Sequence[Term], caption: str, src: PackSources) -> Table:
    w = src.words
    rows = [
        [TableCell([strong(term.about)]), TableCell(_lines(term.allowed, term)),
         TableCell(_lines(term.forbidden, term)), TableCell([plain(term.page)] if term.page else [])]
        for term in terms
    ]  # fmt: skip
    return Table(caption, [w("about"), w("allowed"), w("forbidden"), w("page")], rows, [19, 40, 32, 9], terms=True)


def _lines(words: Sequence[str], term: Term) -> list[Line]:
    return [(Text(word, role="taxon" if term.is_taxon else ""),) for word in words]


def _notices(stop: NumberedStop, src: PackSources) -> Section:
    """Notices that papers ask for, by when and to whom, and which were given."""
    w = src.words
    blocks: list[Block] = []
    for at in src.papers_at(stop, tuple(Layer)):
        if not src.may_read(at.paper):
            blocks.append(closed_line(at.paper, src))
            continue
        for version in at.versions:
            for condition in version.conditions.all():
                if condition.notice_days is not None:
                    blocks += _notice(stop, at.paper, condition, src)
    if not blocks:
        blocks = [Para(plain(w("no_notices")))]
    return Section(w("notices"), blocks, level=2)


def _notice(stop: NumberedStop, paper: Paper, condition: Condition, src: PackSources) -> list[Block]:
    w, first = src.words, stop.one.days[0]
    days = condition.notice_days or 0
    told = {"who": paper.issuer or w("issuer_unknown"), "paper": paper.reference, "days": days}
    by = w("notice", day=w.day(first - timedelta(days)), **told) if first else w("notice_undated", **told)
    contact = paper.issuer_agent.contact if paper.issuer_agent else ""
    given = [one for one in src.notices if one.paper_id == paper.pk and one.stop_id in (None, stop.pk)]
    lines: list[Line] = [(Text(by, role="strong"),), *(plain(line) for line in contact.splitlines() if line.strip())]
    lines.append((paper_words(condition.text, paper),))
    lines += [plain(w("notice_given", day=w.day(one.given_on), note=one.note)) for one in given]
    return [*(Para(line) for line in lines), *([] if given else [Para(strong(w("notice_open")))])]


def closed_line(paper: Paper, src: PackSources) -> Para:
    """In place of what a restricted paper says."""
    restricted = src.words("restricted", roles=src.roles(paper))
    return Para((Text(src.words.pair(paper.reference, ""), role="strong"), Text(restricted)))


def paper_words(text: str, paper: Paper) -> Text:
    """The words of a paper, in its language if it says a well-formed one."""
    lang = paper.language if _LANGUAGE.fullmatch(paper.language or "") else ""
    return Text(text, lang=lang, role="paper")
