"""A report as printed blocks: the first page, its parts in order, what it discloses."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

from governance.papers.printed.blocks import Block, ContentsList, Para, Printed, Section, plain, strong
from governance.reports.contents import Composed
from governance.reports.writing import part_benefits, part_material, part_permit
from governance.reports.writing.data_tables import data_table
from governance.reports.writing.disclosure import disclosure
from governance.reports.writing.first_page import first_page, title_of
from governance.reports.writing.language import words_of
from governance.reports.writing.map_of import map_blocks
from governance.reports.writing.pen import Link, Pen

_WITH_CONTENTS: Final = frozenset({"provider", "benefits"})
_SIGNED: Final = frozenset({"provider", "benefits", "diligence", "certificate"})
"""Kinds that are signed without a part for it."""

_SIGNATURE: Final = "signature"

_MOST_KEPT: Final = 12
"""Paragraphs that a page holds beside a signature."""

_PLACE_THEIR_NOTES: Final = frozenset({"unknown", "declarations", "map"})

Part = Callable[[Pen], Iterator[Block]]


def printed_report(
    composed: Composed, language: str, *, link: Link | None = None, most_rows: int = 40, draft: bool = False,
    title: str = "",
) -> Printed:  # fmt: skip
    """The report in a language.

    Args:
        language: code of a file of words.
        link: gives the address of the rows behind a number, for a page; None: for a file.
        most_rows: rows of a table that are told one by one.
        draft: marked on each page as one, with hints to those who write it.
        title: as a person gave it; "": as kind and subject say.

    Raises:
        FileNotFoundError: there is no file of that language.
    """
    pen = Pen(composed, words_of(language), link, most_rows, draft)
    w, contents = pen.w, pen.contents
    sections = _numbered(pen, list(_parts(pen)))
    heading = title or title_of(pen)
    blocks = list(first_page(pen))
    if contents.kind in _WITH_CONTENTS:
        blocks.append(ContentsList(w("contents"), [(one.key, one.title) for one in sections]))
    cover = Section(heading, blocks, key="cover")
    return Printed(
        w.code, contents.reference, heading, w.of("report_kinds", contents.kind), _footer(pen),
        w("page_of", page="\0", pages="\1"), [cover, *sections], w("draft") if draft else "",
    )  # fmt: skip


def _footer(pen: Pen) -> str:
    """The country in the language of the report, its number, and the day of the register."""
    contents = pen.contents
    country = [pen.w.country(contents.country)] if contents.country else []
    return " · ".join([*country, contents.reference, pen.w("as_of", day=contents.made_on)])


def _numbered(pen: Pen, sections: Sequence[Section]) -> list[Section]:
    """Parts of long reports have numbers, so that a letter can name them."""
    if pen.contents.kind == "landowner":
        return list(sections)
    return [
        Section(f"{number}  {one.title}", one.blocks, one.sections, one.level, one.new_page, one.key)
        for number, one in enumerate(sections, 1)
    ]


def _parts(pen: Pen) -> Iterator[Section]:
    """The parts, what the report discloses, and the signature under all of it."""
    contents = pen.contents
    for key in contents.parts:
        blocks = list(part(pen, key)) if key != _SIGNATURE else []
        if blocks:
            yield Section(pen.w.of("parts", key), blocks, key=key)
    closing = pen.written_by_people("closing")
    if closing:
        yield Section(pen.w("closing"), closing, key="closing")
    told = disclosure(pen, pen.w("disclosure"))
    is_signed = contents.kind in _SIGNED or _SIGNATURE in contents.parts
    yield _kept_together(told) if is_signed else told
    if is_signed:
        yield Section(pen.w("signature"), list(part(pen, _SIGNATURE)), key=_SIGNATURE)


def _kept_together(section: Section) -> Section:
    """A short part on one page with the one after it: a signature does not stand alone on a page."""
    if len(section.blocks) > _MOST_KEPT:
        return section
    return replace(section, blocks=[replace(one, keep=True) if isinstance(one, Para) else one
                                    for one in section.blocks])  # fmt: skip


def part(pen: Pen, key: str) -> Iterator[Block]:
    """The blocks of a part; its notes first, but for those that it places itself."""
    if key not in _PLACE_THEIR_NOTES:
        yield from pen.notes(key)
    yield from _WRITERS[key](pen)


def _tables(*keys: str) -> Part:
    """A part of tables alone."""

    def written(pen: Pen) -> Iterator[Block]:
        for key in keys:
            yield from data_table(pen, key)

    return written


def _words(key: str) -> Part:
    """A part that people write; it is left out where they wrote nothing."""

    def written(pen: Pen) -> Iterator[Block]:
        yield from pen.written_by_people(key)

    return written


def _done(pen: Pen) -> Iterator[Block]:
    """What became of the finds of a landowner: the words of people, and the uses that were entered."""
    table = pen.table("uses")
    written = pen.written_by_people("done")
    if table is not None and table.rows:
        yield from data_table(pen, "uses")
    elif not written and not pen.notes_of("done"):
        yield Para(plain(pen.w("done_nothing")))
    published = pen.table("publications")
    if published is not None and published.rows:
        yield from data_table(pen, "publications")
    yield from written


def _duties(pen: Pen) -> Iterator[Block]:
    """Those that are open first, then those that were seen to in the period."""
    table = pen.table("duties")
    if table is None or not table.rows:
        yield from data_table(pen, "duties")
        return
    state = table.place("state")
    for is_open, key in ((True, "duties_open"), (False, "duties_closed")):
        rows = [row for row in table.rows if (row[state] in _OPEN_DUTIES) is is_open]
        if rows:
            yield Para(strong(pen.w(key)), keep=True)
            yield from data_table(pen, "duties", only=rows)


_OPEN_DUTIES: Final = frozenset({"day-not-known", "coming", "due", "late"})
"""States of what is still to be done."""


def _map(pen: Pen) -> Iterator[Block]:
    if pen.contents.map is not None or not pen.notes_of("map"):
        yield from map_blocks(pen, pen.contents.map)
    yield from pen.notes("map")


_WRITERS: Final[Mapping[str, Part]] = {
    "agreement": _tables("papers"), "material": part_material.material, "where": part_material.where_it_is,
    "exceptions": part_material.exceptions, "movements": _tables("movements"), "uses": _tables("uses"),
    "sequences": _tables("sequences"), "publications": _tables("publications"), "deposits": _tables("deposits"),
    "benefits": part_benefits.benefits, "losses": _tables("losses"), "changes": _words("changes"),
    "duties": _duties, "unknown": part_material.unknown, "map": _map, "people": part_benefits.people,
    "permit": part_permit.permit, "taken": part_permit.taken, "findings": part_permit.findings,
    "duplicate": part_permit.duplicate, "samples": part_material.samples, "declarations": part_permit.declarations,
    "signature": part_permit.signature, "thanks": _words("thanks"), "species": _tables("species"),
    "notable": _words("notable"), "kept": part_material.kept, "done": _done, "fields": part_permit.fields,
    "declaration": part_permit.declaration, "items": part_permit.items,
}  # fmt: skip
"""By part."""
