"""A report as printed blocks: the first page, its parts in order, what it discloses."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Final

from governance.papers.printed.blocks import Block, ContentsList, Para, Printed, Section, plain
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
        if key != _SIGNATURE:
            yield Section(pen.w.of("parts", key), list(part(pen, key)), key=key)
    closing = pen.written_by_people("closing")
    if closing:
        yield Section(pen.w("closing"), closing, key="closing")
    yield disclosure(pen, pen.w("disclosure"))
    if contents.kind in _SIGNED or _SIGNATURE in contents.parts:
        yield Section(pen.w("signature"), list(part(pen, _SIGNATURE)), key=_SIGNATURE)


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
    """A part that people write; a sentence where they wrote nothing."""

    def written(pen: Pen) -> Iterator[Block]:
        yield from pen.written_by_people(key) or part_permit.not_written(pen, key)

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


def _map(pen: Pen) -> Iterator[Block]:
    if pen.contents.map is not None or not pen.notes_of("map"):
        yield from map_blocks(pen, pen.contents.map)
    yield from pen.notes("map")


_WRITERS: Final[Mapping[str, Part]] = {
    "agreement": _tables("papers"), "material": part_material.material, "where": part_material.where_it_is,
    "exceptions": part_material.exceptions, "movements": _tables("movements"), "uses": _tables("uses"),
    "sequences": _tables("sequences"), "publications": _tables("publications"), "deposits": _tables("deposits"),
    "benefits": part_benefits.benefits, "losses": _tables("losses"), "changes": _words("changes"),
    "duties": _tables("duties"), "unknown": part_material.unknown, "map": _map, "people": part_benefits.people,
    "permit": part_permit.permit, "taken": part_permit.taken, "findings": part_permit.findings,
    "duplicate": part_permit.duplicate, "samples": part_material.samples, "declarations": part_permit.declarations,
    "signature": part_permit.signature, "thanks": _words("thanks"), "species": _tables("species"),
    "notable": _words("notable"), "kept": part_material.kept, "done": _done, "fields": part_permit.fields,
    "declaration": part_permit.declaration, "items": part_permit.items,
}  # fmt: skip
"""By part."""
