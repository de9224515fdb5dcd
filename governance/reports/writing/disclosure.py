"""What a report discloses, and what was kept back: at the end of each."""

from __future__ import annotations

from governance.jurisdictions.codes import country_name
from governance.papers.printed.blocks import Para, Section, plain
from governance.reports.tables import PARTS
from governance.reports.writing.pen import Pen


def disclosure(pen: Pen, title: str) -> Section:
    """For whom it is, how exact its places are, whether it names private owners, and what stayed out."""
    w, told = pen.w, pen.contents.disclosure
    lines = [plain(w("disclosed_to", reader=_reader(pen))), plain(w.of("places", told.places))]
    lines.append(plain(w("owners_named" if told.names_owners else "owners_not_named")))
    blocks = [Para(line) for line in lines]
    left_out = [part for part in PARTS[pen.contents.kind] if part not in pen.contents.parts]
    if left_out:
        names = w.several([w.of("parts", part) for part in left_out])
        blocks.append(Para(plain(w("parts_left_out", parts=names))))
    kept = [Para(pen.note(note), "quote") for note in told.kept_back]
    if kept:
        blocks += [Para(plain(w("kept_back")), keep=True), *kept]
    else:
        blocks.append(Para(plain(w("nothing_kept_back"))))
    if pen.contents.kind == "landowner":  # of others it stands on the first page
        blocks.append(Para(plain(w.caution()), "note"))
    return Section(title, blocks, key="disclosure")


def _reader(pen: Pen) -> str:
    """For whom it is: a word for some kinds, else as written, a country in the language of the report."""
    reader, country = pen.contents.disclosure.reader, pen.contents.country
    if country and reader == country_name(country):
        return pen.w.country(country)
    return pen.w.of("readers", reader)
