"""What is printed is made of: sections of paragraphs, tables, ticks, maps and pictures, in words, without a format."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from governance.papers.drawing import Area, MapPoint
from governance.scans.models import Scan


@dataclass(frozen=True)
class Text:
    """A run of words. lang: BCP 47, "" for the language of the whole. role: ``paper`` (the words of a paper, in serif),
    ``strong``, ``note``, ``taxon``, or "". href: where it leads on a page; files leave it out."""

    text: str
    lang: str = ""
    role: str = ""
    href: str = ""


Line = tuple[Text, ...]
"""Runs that stand together in one line or cell."""


@dataclass(frozen=True)
class Para:
    """A paragraph. style: ``lead``, ``note``, ``quote`` or "". keep: on one page with what comes next."""

    line: Line
    style: str = ""
    keep: bool = False

    kind = "para"


@dataclass(frozen=True)
class Alert:
    """What must not be overlooked: in a heavy frame, whether printed in colour or not."""

    title: str
    lines: Sequence[Line]
    label: str = ""

    kind = "alert"


@dataclass(frozen=True)
class Facts:
    """Names with what they are: a table of two columns."""

    caption: str
    rows: Sequence[tuple[str, Sequence[Line]]]

    kind = "facts"


@dataclass(frozen=True)
class Picture:
    """A drawing of our own. png: for files; svg: markup for pages. alt: what it is, in words."""

    png: bytes
    svg: str
    alt: str
    width_cm: float


@dataclass(frozen=True)
class Cell:
    """A cell of several lines, below a picture if it has one. data_v: the verdict that it shows, as ``verdicts.cells``
    writes it."""

    lines: Sequence[Line] = ()
    data_v: str = ""
    picture: Picture | None = None


@dataclass(frozen=True)
class Table:
    """A table with a head that repeats. widths: shares of the width. tall: rows to write in by hand.
    terms: what a paper says. small: a long list, in small letters. bare: without lines.
    kept_below: a table of fewer rows stays on one page. numbers: places of the columns that hold numbers.
    fine_head: many columns, whose names are set smaller. refs: places of the columns that hold references, which are
    never broken on a page."""

    caption: str
    head: Sequence[str]
    rows: Sequence[Sequence[Cell]]
    widths: Sequence[int]
    tall: bool = False
    terms: bool = False
    small: bool = False
    bare: bool = False
    kept_below: int = 12
    numbers: Sequence[int] = ()
    fine_head: bool = False
    refs: Sequence[int] = ()

    kind = "table"

    @property
    def has_head(self) -> bool:
        return any(self.head)


@dataclass(frozen=True)
class Ticks:
    """Things to tick off."""

    lines: Sequence[Line]

    kind = "ticks"


@dataclass(frozen=True)
class MapOf:
    """A map of areas and points. alt: what it shows, in words."""

    alt: str
    key: str
    areas: Sequence[Area]
    points: Sequence[MapPoint]

    kind = "map"


@dataclass(frozen=True)
class Drawing:
    """A drawing that stands by itself, such as a chart. key: the line below it."""

    picture: Picture
    key: str = ""

    kind = "drawing"


@dataclass(frozen=True)
class ContentsList:
    """What comes, with the pages on paper. entries: keys of sections with their titles."""

    title: str
    entries: Sequence[tuple[str, str]]

    kind = "contents"


@dataclass(frozen=True)
class PageCopy:
    """A page of a scan. turn: degrees clockwise, as a person turned it."""

    caption: str
    scan: Scan
    number: int

    kind = "copy"


Block = Para | Alert | Facts | Table | Ticks | MapOf | Drawing | ContentsList | PageCopy


@dataclass(frozen=True)
class Section:
    """A heading with what stands below it. level: 1 or 2. new_page: begins a page on paper."""

    title: str
    blocks: Sequence[Block] = ()
    sections: Sequence[Section] = ()
    level: int = 1
    new_page: bool = False
    key: str = ""


@dataclass(frozen=True)
class Printed:
    """A whole. language: BCP 47. sections: the cover first, whose title is that of the whole. mark: a word on each
    page, such as that it is a draft."""

    language: str
    reference: str
    title: str
    kicker: str
    footer: str
    page_of: str
    sections: Sequence[Section] = field(default_factory=tuple)
    mark: str = ""


def plain(text: str) -> Line:
    """Words of our own."""
    return (Text(text),)


def strong(text: str) -> Line:
    """The same, to be seen first."""
    return (Text(text, role="strong"),)


def lines_of(text: str) -> list[Line]:
    """What a person wrote in several lines, blank ones left out."""
    return [plain(line.strip()) for line in text.splitlines() if line.strip()]
