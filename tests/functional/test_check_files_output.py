"""What check_files writes: VERDICTS, section 8, "Verdicts out", to the letter."""

from __future__ import annotations

import itertools
from pathlib import Path

import openpyxl
import pytest

from tests.factories import zoo
from tests.functional.small_files import HEADER, PAPERS, SPECIMENS, Checked, Run, a_paper, a_row, read_rows

LAYERS = ("land", "collecting", "species", "protected-site", "access", "export", "import", "cites", "transfer")
VERDICTS = {"covered", "not-required", "cannot-tell", "straddles", "outside", "missing"}
UNITS = {"", "days", "m", "individuals"}


@pytest.fixture(scope="module")
def lindmark(tmp_path_factory: pytest.TempPathFactory) -> Run:
    from django.core.management import call_command

    out = tmp_path_factory.mktemp("lindmark") / "verdicts.csv"
    call_command("check_files", SPECIMENS, papers=PAPERS, out=out)
    return Run(0, "", "", out)


def test_columns_are_those_of_the_contract(lindmark: Run) -> None:
    assert lindmark.out.read_bytes().startswith(",".join(HEADER).encode() + b"\r\n")


def test_rows_stand_in_the_order_of_the_input_and_layers_in_theirs(lindmark: Run) -> None:
    places = [(int(row["row"]), LAYERS.index(row["layer"])) for row in lindmark.rows]
    assert places == sorted(places)
    assert {row for row, _ in places} == set(range(1, len(read_rows(SPECIMENS)) + 1))


def test_catalogue_numbers_are_those_of_their_rows(lindmark: Run) -> None:
    numbers = [row["catalogNumber"] for row in read_rows(SPECIMENS)]
    assert [row["catalogNumber"] for row in lindmark.rows] == [numbers[int(row["row"]) - 1] for row in lindmark.rows]


def test_a_specimen_has_one_verdict_a_layer(lindmark: Run) -> None:
    verdicts = {(row["row"], row["layer"], row["verdict"], row["paper"]) for row in lindmark.rows}
    assert len(verdicts) == len(read_rows(SPECIMENS)) * len(LAYERS)
    assert {verdict for _, _, verdict, _ in verdicts} <= VERDICTS


def test_measures_are_numbers_with_a_unit(lindmark: Run) -> None:
    measured = [row for row in lindmark.rows if row["measure"] or row["against"]]
    assert len(measured) > 100
    for row in measured:
        assert row["unit"] in UNITS - {""}, row
        for cell in (row["measure"], row["against"]):
            assert cell == "" or abs(float(cell)) < 1e8, row
    assert {row["unit"] for row in lindmark.rows if not (row["measure"] or row["against"])} == {""}


def test_only_covered_layers_have_an_empty_finding(lindmark: Run) -> None:
    """One row for each remark, or one with an empty finding; every other verdict says why."""
    by_layer = itertools.groupby(lindmark.rows, key=lambda row: (row["row"], row["layer"]))
    for place, group in by_layer:
        rows = list(group)
        findings = [row["finding"] for row in rows]
        assert len(set(findings)) == len(findings), place
        if "" in findings:
            assert len(findings) == 1, place
            assert rows[0]["verdict"] == "covered", place


def test_every_row_has_a_sentence(lindmark: Run) -> None:
    """One plain sentence: a capital or a figure first, a full stop last, nothing left unfilled."""
    for sentence in {row["sentence"] for row in lindmark.rows}:
        assert sentence[0].isupper() or sentence[0].isdigit(), sentence
        assert sentence.endswith("."), sentence
        assert not {"None", "nan", "inf"} & set(sentence.replace(",", " ").rstrip(".").split()[1:]), sentence
        assert "{" not in sentence, sentence


def test_papers_and_versions_are_named(lindmark: Run) -> None:
    for row in lindmark.rows:
        papers = row["paper"].split(" | ") if row["paper"] else []
        starts = row["version_from"].split(" | ") if row["version_from"] else []
        assert bool(papers) == (row["verdict"] not in ("missing",)), row
        assert all(len(start) in (0, 10) for start in starts), row
        assert papers or not starts, row


def test_layers_are_those_that_the_papers_serve(checked: Checked) -> None:
    run = checked([a_row()], [a_paper(layers=["species", "land"])])
    assert [row["layer"] for row in run.rows] == ["land", "species"]


def test_required_layers_are_those_named(checked: Checked) -> None:
    """In the order of section 1, whatever the order of the option; a layer without paper is missing."""
    run = checked([a_row()], [a_paper()], "--require", "export, collecting")
    assert [(r["layer"], r["verdict"], r["finding"], r["paper"]) for r in run.rows] == [
        ("collecting", "covered", "", "COL-1"),
        ("export", "missing", "not-searched", ""),
    ]


def test_no_papers_and_nothing_required_is_a_header_alone(checked: Checked) -> None:
    run = checked([a_row()], [])
    assert (run.status, run.out.read_bytes()) == (0, ",".join(HEADER).encode() + b"\r\n")


def test_no_papers_but_a_layer_required_is_missing(checked: Checked) -> None:
    assert [row["verdict"] for row in checked([a_row()], [], "--require", "land").rows] == ["missing"]


def test_blank_and_repeated_catalogue_numbers_are_judged_and_named(checked: Checked) -> None:
    rows = [a_row(), a_row(), a_row(catalogNumber="")]
    run = checked(rows, [a_paper()])
    assert [(row["row"], row["catalogNumber"], row["verdict"]) for row in run.rows] == [
        ("1", "X-1", "covered"), ("2", "X-1", "covered"), ("3", "", "covered")
    ]  # fmt: skip
    assert run.told.count("Warning:") == 2


def test_caution_is_shown_and_stdout_left_alone(checked: Checked) -> None:
    """VERDICTS, section 9, word for word; the summary goes to stderr."""
    run = checked([a_row()], [a_paper()])
    assert (
        "A verdict compares records with the papers on file. It is no legal advice and no finding of an offence. "
        "National and local law, the issuing authority and the institution's own legal office decide."
    ) in run.told
    assert run.said == ""
    assert str(run.out) in run.told


def test_texts_of_the_zoo_come_back_whole(checked: Checked) -> None:
    """In the CSV, which machines read, nothing is put before a formula (OWASP's remedy is for what people open)."""
    rows = [a_row(catalogNumber=text) for text in zoo.CELLS.values()]
    found = [row["catalogNumber"] for row in checked(rows, [a_paper()]).rows]
    assert found == list(zoo.CELLS.values())


def test_workbook_opens_and_runs_nothing(checked: Checked) -> None:
    """Cells that begin with = + - @ are text, in the catalogue number as in the paper's reference."""
    rows = [a_row(catalogNumber=text) for text in zoo.CELLS.values()]
    run = checked(rows, [a_paper(reference="=1+1")], out="out.xlsx")
    book = openpyxl.load_workbook(run.out)
    sheet = book["All verdicts"]
    header, *body = list(sheet.iter_rows())
    assert tuple(cell.value for cell in header) == HEADER
    assert len(body) == len(rows)
    assert {cell.data_type for sheet in book for row in sheet.iter_rows() for cell in row} <= {"s", "n", "inlineStr"}
    assert {row[4].value for row in body} == {"=1+1"}
    assert body[0][1].value == zoo.CELLS["a formula"]


def test_workbook_has_the_verdicts_of_the_csv(checked: Checked, lindmark: Run) -> None:
    """Same cells; numbers as numbers, and what is empty is empty."""
    book = openpyxl.load_workbook(checked(out="out.xlsx").out, read_only=True)
    found = [
        ["" if cell is None else str(cell) for cell in row] for row in book["All verdicts"].iter_rows(values_only=True)
    ]
    book.close()
    expected = [list(HEADER), *(list(row.values()) for row in lindmark.rows)]
    assert len(found) == len(expected)
    for mine, theirs in zip(found, expected, strict=True):
        for column, (cell, other) in enumerate(zip(mine, theirs, strict=True)):
            same = (
                float(cell) == float(other) if column in (7, 8) and other and theirs != list(HEADER) else cell == other
            )
            assert same, (mine, theirs)


def test_workbook_says_how_it_was_reached(checked: Checked) -> None:
    book = openpyxl.load_workbook(checked([a_row()], [a_paper()], "--assumed-radius", "50", out="out.xlsx").out)
    text = " ".join(str(cell.value) for sheet in book for row in sheet.iter_rows() for cell in row)
    for words in ("It is no legal advice", "Engine", "50 m", "250 m", "COL-1", "specimens.csv"):
        assert words in text


def test_out_is_replaced_whole(checked: Checked, tmp_path: Path) -> None:
    (tmp_path / "out.csv").write_text("of an earlier run\n" * 1000)
    run = checked([a_row()], [a_paper()])
    assert len(run.rows) == 1
    assert sorted(path.name for path in tmp_path.iterdir()) == ["out.csv", "papers.json", "specimens.csv"]


# House rules. The specimen lies 0.0009 degrees of longitude on 20.5 N inside the western edge: 93.9 m, nine tenths of
# G052 of the published check values (104.313 m for 0.001 degrees).


def edge_row(**changes: str) -> dict[str, str]:
    return a_row(decimalLongitude="10.0009", **changes)


@pytest.mark.parametrize(
    ("changes", "options", "expected"),
    [
        ({}, (), ("covered", "", "")),
        ({"coordinateUncertaintyInMeters": ""}, (), ("cannot-tell", "area-edge", "1000")),
        ({"coordinateUncertaintyInMeters": "0"}, (), ("cannot-tell", "area-edge", "1000")),
        ({"coordinateUncertaintyInMeters": ""}, ("--assumed-radius", "50"), ("covered", "radius-assumed", "")),
        ({"coordinateUncertaintyInMeters": ""}, ("--assumed-radius", "none"), ("cannot-tell", "radius-unknown", "")),
        ({}, ("--assumed-radius", "none"), ("covered", "", "")),
        ({"geodeticDatum": ""}, (), ("cannot-tell", "area-edge", "280")),
        ({"geodeticDatum": "old map"}, (), ("cannot-tell", "area-edge", "280")),
        ({"geodeticDatum": ""}, ("--datum-allowance", "0"), ("covered", "datum-assumed", "")),
        ({"geodeticDatum": ""}, ("--datum-allowance", "50"), ("covered", "datum-assumed", "")),
        ({"geodeticDatum": ""}, ("--datum-allowance", "70"), ("cannot-tell", "area-edge", "100")),
    ],
)
def test_house_rules(
    checked: Checked, changes: dict[str, str], options: tuple[str, ...], expected: tuple[str, str, str]
) -> None:
    (row,) = checked([edge_row(**changes)], [a_paper()], *options).rows
    assert (row["verdict"], row["finding"], row["against"]) == expected
    if row["measure"]:
        assert float(row["measure"]) == pytest.approx(-93.9, abs=1.0)
