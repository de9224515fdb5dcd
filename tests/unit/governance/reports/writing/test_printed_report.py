"""What a report says in print: the answer first, numbers that are those of its rows, nothing that it does not know."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

import pytest

from governance.papers.printed.blocks import (
    Alert,
    Block,
    Drawing,
    Facts,
    Line,
    MapOf,
    Para,
    Printed,
    Section,
    Table,
    Text,
)
from governance.reports.contents import Composed, Contents, Note, Proof, TableData, measured
from governance.reports.tables import PARTS
from governance.reports.writing.language import languages, words_of
from governance.reports.writing.printed import printed_report
from tests.factories import reports_composed as made

ALL = [(kind, code) for kind in made.KINDS for code in languages()]


def lines_of(block: Block) -> Iterator[Line]:
    if isinstance(block, Para):
        yield block.line
    elif isinstance(block, Facts):
        yield from (line for _name, lines in block.rows for line in lines)
    elif isinstance(block, Table):
        yield from (line for row in block.rows for cell in row for line in cell.lines)
    else:
        yield from getattr(block, "lines", ())


def texts(sections: Sequence[Section]) -> Iterator[Text]:
    for section in sections:
        yield from (run for block in section.blocks for line in lines_of(block) for run in line)


def words_in(printed: Printed, key: str = "") -> str:
    """All words of the whole, or of a part."""
    sections = [section for section in printed.sections if not key or section.key == key]
    assert sections, f"no part {key}"
    return " ".join(
        "".join(run.text for run in line) for s in sections for block in s.blocks for line in lines_of(block)
    )


def part_of(printed: Printed, key: str) -> Section:
    return next(section for section in printed.sections if section.key == key)


def changed(composed: Composed, **fields: object) -> Composed:
    return Composed(replace(composed.contents, **fields), composed.tables)  # type: ignore[arg-type]


def with_rows(composed: Composed, **rows: list[object]) -> Composed:
    """The report with other rows in some tables."""
    tables = dict(composed.tables)
    for key, new in rows.items():
        tables[key] = TableData(key, tables[key].columns, new)  # type: ignore[arg-type]
    return Composed(composed.contents, tables)


@pytest.mark.parametrize(("kind", "code"), ALL)
def test_each_kind_in_each_language(kind: str, code: str) -> None:
    """Its parts in order, no blank left unfilled, no bare key, the caution, what it discloses."""
    composed = made.KINDS[kind]()
    printed = printed_report(composed, code)
    keys = [section.key for section in printed.sections if section.key in PARTS[kind] and section.key != "signature"]
    empty = {part for part in ("changes", "notable", "thanks") if not composed.contents.texts.get(part)}
    empty -= {note.part for note in composed.contents.notes}
    assert keys == [part for part in PARTS[kind] if part not in {"signature", *empty}]
    told = words_in(printed)
    assert not re.search(r"[{}]|\bNone\b(?! in this period)|\b[a-z]+_[a-z]+\b", told), told
    assert words_of(code).caution() in told
    assert words_of(code)("nothing_kept_back") in told or kind == "provider"
    assert printed.language == code


@pytest.mark.parametrize("kind", made.KINDS)
def test_every_number_with_a_link_is_the_number_of_its_rows(kind: str) -> None:
    """The proof is read back from the link, and counted again from the rows."""
    composed = made.KINDS[kind]()
    proofs: list[Proof] = []

    def link(proof: Proof) -> str:
        proofs.append(proof)
        return f"#{len(proofs) - 1}"

    runs = [run for run in texts(printed_report(composed, "en", link=link).sections) if run.href]
    told = [run for run in runs if run.text.isdigit()]
    for run in told:
        proof = proofs[int(run.href[1:])]
        assert run.text == measured(proof, composed.tables[proof.table]), proof
    assert len(told) > 1 or kind in ("landowner", "diligence")


def test_key_figures_are_those_of_the_contents() -> None:
    composed = made.provider()
    table = next(b for b in printed_report(composed, "en").sections[0].blocks if isinstance(b, Table))
    cells = ["".join(run.text for line in cell.lines for run in line) for row in table.rows for cell in row]
    told = dict(zip(cells[::2], cells[1::2], strict=True))
    figures = {figure.key: figure.value for figure in composed.contents.figures}
    assert told["Specimens, lots and parts"] == figures["specimens"] == "6"
    assert told["Specimens deposited in the country"] == figures["deposited_specimens"] == "133"


def test_a_file_has_no_links() -> None:
    assert not [run for run in texts(printed_report(made.provider(), "en").sections) if run.href]


def test_the_answer_stands_first() -> None:
    """By hand from the rows: 5 taken and 1 part of them, one out, one outside, one without a paper, one doubtful."""
    told = words_in(printed_report(made.provider(), "en"), "cover")
    for sentence in (
        "5 specimens or lots were taken, in 2 accessions.", "1 more row is a part that was made of them.",
        "In the collection 5 · Out on loan 1", "1 benefit was given. 12\u00a0days",
        "133 specimens were deposited in the country.", "1 specimen lies outside the terms of a paper.",
        "For 1 specimen a paper that is needed is not on file.", "1 duty is late.",
        "In order 3 · Cannot tell 1", "In order: each question is covered, or needs no paper.",
        "Each specimen is counted once here, by its gravest finding.",
        "Of 1 specimen it cannot be told whether papers cover it; it has no graver finding.",
    ):  # fmt: skip
        assert sentence in told


def test_what_was_never_entered_counts_as_taken() -> None:
    """5 rows were taken; 17 stayed in the country: 22 as far as known."""
    proof = Proof("deposits", {"entry": None}, "sum:specimens")
    composed = made.provider()
    notes = (*composed.contents.notes, Note("never_entered", "material", {"n": 17}, proof))
    told = words_in(printed_report(changed(composed, notes=notes), "en"), "cover")
    assert "As far as known, 22 specimens or lots were taken: 5 are entered here, in 2 accessions." in told
    assert "17 more stayed in the country and were never entered here." in told


def test_parts_that_were_left_out_are_named() -> None:
    composed = made.provider()
    assert "left out" not in words_in(printed_report(composed, "en"), "disclosure")
    parts = tuple(part for part in composed.contents.parts if part not in ("losses", "map"))
    told = words_in(printed_report(changed(composed, parts=parts), "en"), "disclosure")
    assert "Parts left out: Consumed, lost, destroyed and Map." in told


def test_duties_that_are_open_stand_apart() -> None:
    done = made.row("duties", paper="ABS-2024-009", kind="notice", what="Tell of a change", state="done")
    composed = made.provider()
    printed = printed_report(with_rows(composed, duties=[*composed.tables["duties"].rows, done]), "en")
    blocks = part_of(printed, "duties").blocks
    assert [len(block.rows) for block in blocks if isinstance(block, Table)] == [2, 1]
    assert words_in(printed, "duties").startswith("Still to be done ABS-2024-009")
    assert "Done, accepted or waived ABS-2024-009" in words_in(printed, "duties")


@pytest.mark.parametrize(
    ("answer", "outside", "said"),
    [
        ("not-known", "yes", "Not known counted as outside the terms: nobody had decided"),
        ("not-allowed", "yes", "Not allowed counted as outside the terms"), ("allowed", "no", "Allowed"),
    ],
)  # fmt: skip
def test_an_answer_stands_beside_what_the_entry_counts_as(answer: str, outside: str, said: str) -> None:
    use = made.row("uses", entry="S-1", deed="sequencing", on="2025-03-02", answer=answer, outside=outside)
    printed = printed_report(with_rows(made.provider(), uses=[use]), "en")
    (table,) = [block for block in part_of(printed, "uses").blocks if isinstance(block, Table)]
    assert " ".join(run.text for line in table.rows[0][-1].lines for run in line) == said


def test_no_day_is_said_of_a_vague_date() -> None:
    rows: list[object] = [
        made.specimen(1, first_on="2024-05-01", last_on="2024-05-31"),
        made.specimen(2, first_on="2024-01-01", last_on="2024-12-31"),
        made.specimen(3, first_on="2024-05-01", last_on="2024-07-02"),
    ]
    told = words_in(printed_report(with_rows(made.provider(), material=rows), "en"), "material").replace("\u00a0", " ")
    assert "May 2024 SITE-7" in told and " 2024 SITE-7" in told and "1 May 2024 to 2 Jul 2024" in told
    assert "31 May" not in told and "31 Dec" not in told


def test_numbers_of_rows_and_groups_that_are_not_told_lead_to_rows() -> None:
    """Of a use of two only one specimen is in the rows: its number proves nothing else and leads nowhere."""
    used = [made.row("used", entry="SQ-2025-01", specimen=one) for one in ("A", "B")]
    for rows, is_linked in ((used, True), (used[:1], False)):
        printed = printed_report(with_rows(made.provider(), used=list(rows)), "en", link=lambda proof: f"#{proof}")
        (table,) = [block for block in part_of(printed, "uses").blocks if isinstance(block, Table)]
        assert (
            bool([run for line in table.rows[0][5].lines for run in line if run.text == "2" and run.href]) is is_linked
        )
    printed = printed_report(made.many(600, papers=60, uses=4), "en", link=lambda proof: f"#{proof.table}")
    linked = {run.text: run.href for run in texts(printed.sections) if run.href}
    assert linked["Papers"] == "#papers", "the sheet of the rows that are not told"
    assert linked["600"] == "#material"
    assert "#material" in {href for text, href in linked.items() if text.endswith(" more")}


def test_references_are_never_broken_unless_they_are_sentences() -> None:
    printed = printed_report(made.provider(), "en")
    (table,) = [block for block in part_of(printed, "unknown").blocks if isinstance(block, Table)]
    assert list(table.refs) == [1, 2, 3]
    long = made.row("unknown", question="terms-unread", paper="Letter of the owner about the lower meadow")
    printed = printed_report(with_rows(made.provider(), unknown=[long]), "en")
    (table,) = [block for block in part_of(printed, "unknown").blocks if isinstance(block, Table)]
    assert 3 not in table.refs


def test_the_chart_names_promises_and_shows_what_is_beyond() -> None:
    """12 of 10 days: the bar is 1.2 frames long."""
    (drawn,) = [b for b in part_of(printed_report(made.provider(), "en"), "benefits").blocks if isinstance(b, Drawing)]
    assert "9.1  N-d  Training of two... 120 %" in drawn.picture.alt
    frame, full = (float(re.findall(rf'"{style}"[^>]* width="([0-9.]+)"', drawn.picture.svg)[0])
                   for style in ("chart-frame", "chart-full"))  # fmt: skip
    assert full / frame == pytest.approx(1.2, abs=0.01)


def test_nobody_declares_diligence_that_nothing_tells_of() -> None:
    assert "was exercised" not in words_in(printed_report(made.diligence(), "en"))


def test_a_small_report_lists_every_specimen_and_no_sums() -> None:
    section = part_of(printed_report(made.provider(), "en"), "material")
    tables = [block for block in section.blocks if isinstance(block, Table)]
    assert [len(table.rows) for table in tables] == [6]
    assert not [block for block in section.blocks if isinstance(block, Drawing)]


def test_a_large_report_tells_groups_and_where_the_rows_are() -> None:
    printed = printed_report(made.many(2000, papers=60, uses=100), "en")
    section = part_of(printed, "material")
    assert [block.picture.alt[:35] for block in section.blocks if isinstance(block, Drawing)] == [
        "Chart: specimens by year of taking:"
    ]
    assert "All 2000 rows are in the workbook, sheet “Material”." in words_in(printed, "material")
    assert "20 more rows are in the workbook, sheet “Papers”." in words_in(printed, "agreement")
    longest = max(len(b.rows) for s in printed.sections for b in s.blocks if isinstance(b, Table))
    assert longest <= 42  # forty groups or rows, those left as one, their sum


def test_nothing_is_one_sentence_and_no_table() -> None:
    composed = with_rows(made.provider(), movements=[], material=[], exceptions=[])
    printed = printed_report(changed(composed, notes=()), "en")
    for key in ("movements", "losses", "material", "where"):
        assert words_in(printed, key) == "None in this period."
        assert not [block for block in part_of(printed, key).blocks if isinstance(block, Table)]


def test_a_note_that_says_so_stands_alone() -> None:
    assert words_in(printed_report(made.provider(), "en"), "losses") == (
        "Nothing is recorded as consumed, lost or destroyed in this period."
    )


def test_words_of_people_are_marked_and_stay_as_typed() -> None:
    blocks = list(part_of(printed_report(made.provider(), "fr"), "closing").blocks)
    assert [(run.text, run.role, run.lang) for block in blocks for line in lines_of(block) for run in line] == [
        ("Dans les mots de l’institution", "note", ""), ("We look forward to the next season.", "", ""),
    ]  # fmt: skip


def test_findings_are_marked_as_english_in_another_language() -> None:
    runs = list(texts([part_of(printed_report(made.provider(), "es"), "exceptions")]))
    assert [run.lang for run in runs if run.text == made.FINDING] == ["en"]


@pytest.mark.parametrize(
    ("nil", "is_said"), [("nil", True), ("cannot-tell", False), ("not-nil", False), ("gone", False)]
)
def test_a_nil_return_is_said_only_where_composing_decided_so(nil: str, is_said: bool) -> None:
    """An empty table is not enough: something unread or unlinked may have been taken."""
    composed = with_rows(made.agency(nil=nil if nil != "gone" else "nil"), taken=[], material=[])
    if nil == "gone":
        composed = changed(composed, facts=())
    assert ("nothing was taken under this permit" in words_in(printed_report(composed, "en"))) is is_said


def test_boxes_are_not_ticked_for_the_signatory() -> None:
    section = part_of(printed_report(made.agency(), "en"), "declarations")
    assert [block.kind for block in section.blocks] == ["para", "ticks", "ticks", "para", "ticks", "para"]
    assert "nobody has ticked a box yet" in words_in(printed_report(made.agency(), "en"), "declarations")


def test_hints_to_writers_stand_in_a_draft_alone() -> None:
    hint = "about 250 are asked for"
    assert hint in words_in(printed_report(made.agency(), "en", draft=True))
    assert hint not in words_in(printed_report(made.agency(), "en"))


def test_a_draft_says_so_first_and_on_each_page() -> None:
    printed = printed_report(made.provider(), "en", draft=True)
    assert isinstance(printed.sections[0].blocks[0], Alert)
    assert (printed.mark, printed_report(made.provider(), "en").mark) == ("DRAFT", "")


def test_the_signature_is_last_below_what_is_disclosed() -> None:
    for kind in ("provider", "agency", "benefits", "diligence", "certificate"):
        assert [s.key for s in printed_report(made.KINDS[kind](), "en").sections[-2:]] == ["disclosure", "signature"]
    assert part_of(printed_report(made.landowner(), "en"), "disclosure") is not None


def test_what_was_kept_back_is_told_with_its_number() -> None:
    told = words_in(printed_report(made.provider(), "en"), "disclosure")
    assert "Names of private owners, in 3 places." in told
    assert "Nothing was kept back." not in told


def test_no_open_question_is_not_said_where_a_note_has_one() -> None:
    note = Note("country_not_known", "unknown", {"n": 3})
    composed = changed(with_rows(made.benefits(), unknown=[], material=[]), notes=(
        Note("nothing_unknown", "unknown", {}, Proof("unknown")), note,
    ))  # fmt: skip
    printed = printed_report(composed, "en")
    for key in ("cover", "unknown"):
        assert "Of 3 specimens in the whole register the country is not known" in words_in(printed, key)
        assert "no open question" not in words_in(printed, key)


def test_the_map_numbers_its_places_and_names_them_below() -> None:
    blocks = list(part_of(printed_report(made.provider(), "en"), "map").blocks)
    assert isinstance(blocks[0], MapOf)
    assert [point.label for point in blocks[0].points] == ["1", "2"]
    assert "Spring at Añón 42.07100; 43.95100 not recorded" in words_in(printed_report(made.provider(), "en"), "map")


def test_the_nine_items_stand_apart() -> None:
    section = part_of(printed_report(made.certificate(), "en"), "items")
    assert [len(block.rows) for block in section.blocks if isinstance(block, Table)] == [9, 1]
    assert "7 of the 9 items of Article 17(4) are told." in words_in(printed_report(made.certificate(), "en"), "cover")


def test_contents_come_back_from_json_and_print_the_same() -> None:
    composed = made.provider()
    again = Composed(Contents.from_json(composed.contents.as_json()), composed.tables)
    assert words_in(printed_report(again, "pt")) == words_in(printed_report(composed, "pt"))


def test_a_title_that_a_person_gave_stands() -> None:
    printed = printed_report(made.provider(), "en", title="What became of the mussels")
    assert printed.title == printed.sections[0].title == "What became of the mussels"
