"""What a report discloses, and what was kept back: at the end of each."""

from __future__ import annotations

from governance.papers.printed.blocks import Para, Section, plain
from governance.reports.writing.pen import Pen


def disclosure(pen: Pen, level_title: str) -> Section:
    """For whom it is, how exact its places are, whether it names private owners, and what stayed out."""
    w, told = pen.w, pen.contents.disclosure
    lines = [plain(w("disclosed_to", reader=w.of("readers", told.reader))), plain(w.of("places", told.places))]
    lines.append(plain(w("owners_named" if told.names_owners else "owners_not_named")))
    kept = [pen.note(note) for note in told.kept_back]
    blocks = [Para(line) for line in lines]
    if kept:
        return Section(level_title, [*blocks, Para(plain(w("kept_back")), keep=True), *(Para(line, "quote") for line in kept)], key="disclosure")
    return Section(level_title, [*blocks, Para(plain(w("nothing_kept_back")))], key="disclosure")
