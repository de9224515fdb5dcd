"""What goes along and home: conditions in the papers' own words, the way home, cautions."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any, Final

import yaml

from accessions.values import read_event_date
from governance.engine.tables import Layer
from governance.papers.models import PaperVersion
from governance.papers.printed.blocks import Block, Cell, Facts, Line, Para, Section, Table, Text, plain, strong
from governance.plans.models import Consignment
from governance.plans.pack.sources import HOME_LAYERS, NumberedStop, PackSources
from governance.plans.pack.stop_sheets import closed_line, paper_words
from governance.plans.pack.verdict_words import layer_word, word_of
from governance.verdicts.cells import Cell as VerdictCell

_CAUTIONS: Final = Path(__file__).parent / "cautions.yaml"


def conditions(src: PackSources) -> Section:
    """The conditions of every version that was tested, once, with the stops that it is for."""
    w = src.words
    stops: dict[int, list[int]] = defaultdict(list)
    versions: dict[int, PaperVersion] = {}
    for stop in src.stops:
        for at in src.papers_at(stop, tuple(Layer)):
            for version in at.versions if src.may_read(at.paper) else ():
                versions[version.pk] = version
                stops[version.pk].append(stop.number)
    sections = [
        _conditions_of(version, w("conditions_at", stops=w.several([str(number) for number in stops[pk]])), src)
        for pk, version in versions.items()
        if version.conditions.all()
    ]
    closed = [closed_line(paper, src) for paper in src.papers.values() if not src.may_read(paper)]
    blocks: list[Block] = [*closed] if sections or closed else [Para(plain(w("no_conditions")))]
    return Section(w("conditions"), blocks, sections, key="conditions")


def _conditions_of(version: PaperVersion, at: str, src: PackSources) -> Section:
    w, paper = src.words, src.papers[version.paper_id]
    blocks: list[Block] = [Para(plain(f"{at}. {w.of('kinds', paper.kind)}."), "note")]
    for condition in version.conditions.all():
        page = (Text(f" ({w('page_no', page=condition.page)})", role="note"),) if condition.page else ()
        blocks.append(Para((paper_words(condition.text, paper), *page), "quote"))
    return Section(paper.reference, blocks, level=2)


def way_home(src: PackSources) -> Section:
    """Each way home with its days, and what the check says of the layers that are tested on them."""
    w = src.words
    homes = {stop.one.home.pk: stop.one.home for stop in src.stops if stop.one.home}
    sections = [_home(number, home, src) for number, home in enumerate(homes.values(), 1)]
    blocks: list[Block] = [] if sections else [Para(strong(w("no_home")))]
    return Section(w("home"), blocks, sections, key="home")


def _home(number: int, home: Consignment, src: PackSources) -> Section:
    w = src.words
    facts: list[tuple[str, list[Line]]] = [
        (w("from"), [plain(w.country(home.from_country) if home.from_country else w("not_said"))]),
        (w("to"), [plain(w.country(home.to_country) if home.to_country else w("not_said"))]),
        (w("leaves"), [plain(_written_day(home.exported_on, src))]),
        (w("arrives"), [plain(_written_day(home.imported_on, src))]),
        (w("changes_hands"), [plain(_written_day(home.transferred_on, src))]),
        (w("carrier"), [plain(home.carrier or w("not_said"))]),
        (w.of("layers", "cites"), [plain(w.of("cites", home.cites) if home.cites else w("unknown"))]),
    ]
    stops = [stop for stop in src.stops if stop.one.home and stop.one.home.pk == home.pk]
    head = [w("layer"), w("verdict"), w("papers")]
    rows = [_home_row(layer, stops, src) for layer in HOME_LAYERS]
    ends = [w.country(code) if code else w("not_said") for code in (home.from_country, home.to_country)]
    title = f"{w('home_no', number=number)}: {' – '.join(ends)}"
    return Section(title, [Facts(title, facts), Table(title, head, rows, [24, 30, 46])], level=2)


def _home_row(layer: Layer, stops: list[NumberedStop], src: PackSources) -> list[Cell]:
    """The worst of the stops that go this way."""
    cells = [src.cell(stop, layer) for stop in stops]
    worst = max(cells, key=lambda cell: cell.verdict)
    word = word_of(worst, src)
    papers = dict.fromkeys(used.reference for cell in cells for used in cell.papers)
    return [
        Cell([plain(layer_word(layer, src))]),
        Cell([strong(word) if worst.needs_look else plain(word)], VerdictCell(worst.verdict).data_v),
        Cell([plain(", ".join(papers))] if papers else []),
    ]


def _written_day(text: str, src: PackSources) -> str:
    """A day as the language writes it; as written where it cannot be read, or is not a day."""
    read = read_event_date(text)
    if read.earliest_day is None or read.latest_day is None:
        return text or src.words("not_said")
    return src.words.span(date.fromordinal(read.earliest_day), date.fromordinal(read.latest_day))


@lru_cache
def caution_figures() -> Mapping[str, Any]:
    """By caution its figures, with source and the day on which somebody looked."""
    found: Mapping[str, Any] = yaml.safe_load(_CAUTIONS.read_text("utf-8"))
    return found


def cautions(src: PackSources) -> Section:
    """What can hurt somebody; the carrier, the law of the place and the safety office decide."""
    w = src.words
    sections = []
    for key in w.groups["cautions"]:
        told = caution_figures().get(key, {})
        title, text = w.caution(key, **told.get("figures", {}))
        blocks: list[Block] = [Para(plain(text))]
        if told:
            words = w("source", source="\0", day=w.day(told["checked_on"])).split("\0")
            line = (Text(words[0], role="note"), Text(told["source"], "en", "note"), Text(words[1], role="note"))
            blocks.append(Para(line, "note"))
        sections.append(Section(title, blocks, level=2))
    return Section(w("cautions"), [Para(plain(w("cautions_lead")), "lead")], sections, new_page=True, key="cautions")
