"""Published and hand-worked values as stops, and the plan as a file of the exchange."""

from __future__ import annotations

import csv
import json
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from accessions.people.models import Role
from governance.engine import HouseRules
from governance.engine.tables import Layer, Verdict
from governance.papers import actions
from governance.papers.models import Paper
from governance.plans.models import FieldPlan
from governance.plans.planned_rows import columns_of, number_rows
from governance.plans.queries.check import PlanCheck, check_plan
from governance.verdicts.check import check_files
from tests.factories import plans as f
from tests.factories import register as r
from tests.factories.paper_objects import paper_object

pytestmark = pytest.mark.django_db

Told = tuple[str, str, float | None, float | None]


def permit(plan: FieldPlan, reference: str, *versions: dict[str, Any], **face: Any) -> Paper:
    fields = {"jurisdiction": "SE", "issuer": "County (invented)", "versions": list(versions), **face}
    paper = actions.register(data=paper_object(reference, **fields), by=r.person(Role.REGISTRAR), why="a test")
    f.attach(plan, paper, r.person())
    return paper


def valid(first: str | None, last: str | None, **terms: Any) -> dict[str, Any]:
    return {"in_force_from": first, "in_force_to": last, "places": {"include": [{"country": "SE"}]}, **terms}


def checked(plan: FieldPlan) -> PlanCheck:
    return check_plan(plan, today=date(2026, 11, 26))


def told(plan: FieldPlan, layer: Layer = Layer.COLLECTING) -> Told:
    """Verdict and finding of the only stop."""
    check = checked(plan)
    cell = check.cells[check.loaded.stops[0].stop.pk, layer]
    finding = next((finding for finding, _ in cell.worst.findings), None)
    if finding is None:
        return cell.verdict.code, "", None, None
    return cell.verdict.code, finding.code, finding.measure, finding.against


@pytest.fixture
def plan() -> FieldPlan:
    sheet = r.sheet("SE")
    for layer in (Layer.COLLECTING, Layer.EXPORT, Layer.CITES, Layer.ACCESS):
        r.rule(sheet, layer)
    return f.field_plan()


def run(plan: FieldPlan, first: str, last: str) -> None:
    """A trap that stands, and nothing else."""
    stop = f.stop(plan, methods="", first_on=None, last_on=None)
    f.trap(stop, first_on=date.fromisoformat(first), last_on=date.fromisoformat(last))


SUMMER = [valid("2023-05-01", "2023-09-30")]
"""A permit from 1 May to 30 September 2023."""
TWO_YEARS = [valid("2022-01-01", "2022-12-31"), valid("2023-01-09", None)]
"""Until 31 December 2022, and again from 9 January 2023: eight days between."""
SPRING_CLOSED = [valid("2023-01-01", "2023-12-31", closed_seasons=[["03-01", "08-31"]])]


class TestTime:
    """Common practice of the trade, own arithmetic; no published source. Both ends count."""

    @pytest.mark.parametrize(
        ("versions", "first", "last", "expected"),
        [
            # 24 to 30 September are 7 days of 24 September to 8 October, 15 days
            (SUMMER, "2023-09-24", "2023-10-08", ("straddles", "straddles", 7, 15)),
            (SUMMER, "2023-09-01", "2023-09-30", ("covered", "", None, None)),
            (SUMMER, "2023-09-30", "2023-10-01", ("straddles", "straddles", 1, 2)),
            (SUMMER, "2023-09-24", "2023-09-30", ("covered", "", None, None)),  # emptied on the last day
            (SUMMER, "2023-10-01", "2023-10-03", ("outside", "after-end", 1, None)),
            (SUMMER, "2023-04-28", "2023-04-30", ("outside", "before-start", 1, None)),
            ([valid("1998-05-15", None)], "1998-05-14", "1998-05-14", ("outside", "before-start", 1, None)),
            ([valid("1998-05-15", None)], "1998-05-01", "1998-05-31", ("straddles", "straddles", 17, 31)),
            # 8 January is a day before the second version and eight after the first
            (TWO_YEARS, "2023-01-08", "2023-01-08", ("outside", "between-versions", 1, None)),
            # 28 to 31 December and 9 to 12 January are 8 days of 28 December to 12 January, 16 days
            (TWO_YEARS, "2022-12-28", "2023-01-12", ("straddles", "straddles", 8, 16)),
            # 20 to 28 February are 9 days of 20 February to 6 March, 15 days
            (SPRING_CLOSED, "2023-02-20", "2023-03-06", ("straddles", "straddles", 9, 15)),
        ],
    )
    def test_a_trap(
        self, plan: FieldPlan, versions: list[dict[str, Any]], first: str, last: str, expected: Told
    ) -> None:
        permit(plan, "COL-1", *versions)
        run(plan, first, last)
        assert told(plan) == expected

    @pytest.mark.parametrize(("second", "verdict"), [("2027-06-06", "covered"), ("2027-06-07", "straddles")])
    def test_one_day_between_two_permits(self, plan: FieldPlan, second: str, verdict: str) -> None:
        """A until 5 June, B from the day after: covered together. One day later: a hole of a day, and no cover."""
        permit(plan, "A", valid("2027-05-01", "2027-06-05"))
        permit(plan, "B", valid(second, "2027-06-30"))
        run(plan, "2027-06-01", "2027-06-20")
        check = checked(plan)
        cell = check.cells[check.loaded.stops[0].stop.pk, Layer.COLLECTING]
        assert cell.verdict.code == verdict
        if verdict == "covered":
            assert [used.reference for used in cell.papers] == ["A", "B"]


class TestCites:
    """An export permit or re-export certificate is valid for six months at most, an import permit for twelve.

    Article VI(2) of the convention; 50 CFR 23.54; Regulation (EC) 865/2006, Annex I, instructions to box 2. That six
    months from 31 August end on 28 February, and that the last day counts, is the register's convention: from memory.
    """

    @pytest.mark.parametrize(
        ("kind", "issued", "last", "exported", "imported", "verdict"),
        [
            ("cites-export-permit", "2024-08-31", "2025-02-28", "2025-02-28", "2025-03-02", "covered"),
            ("cites-export-permit", "2024-08-31", "2025-02-28", "2025-03-01", "2025-03-02", "outside"),
            ("cites-import-permit", "2024-08-31", "2025-08-31", "2025-08-29", "2025-08-31", "covered"),
            ("cites-import-permit", "2024-08-31", "2025-08-31", "2025-08-30", "2025-09-01", "outside"),
            ("cites-import-permit", "2024-08-31", "2025-08-31", "2024-08-30", "2024-09-01", "covered"),
        ],
    )
    def test_validity(
        self, plan: FieldPlan, kind: str, issued: str, last: str, exported: str, imported: str, verdict: str
    ) -> None:
        """The day of leaving is held against an export permit, the day of arrival against an import permit."""
        permit(plan, "CIT-1", valid(issued, last), kind=kind, layers=["cites"])
        f.way_home(plan, exported_on=exported, imported_on=imported)
        f.stop(plan, first_on=date(2024, 8, 1), last_on=date(2024, 8, 2))
        assert told(plan, Layer.CITES)[0] == verdict


class TestNagoya:
    """The protocol is in force for a party on the 90th day after its deposit (Article 33(2)).

    Brazil: deposited on 4 March 2021, in force on 2 June 2021 (27 days of March, 30, 31, 2 are 90). What is taken
    before is not under the rule.
    """

    @pytest.mark.parametrize(
        ("day", "verdict"), [("2021-06-01", "not-required"), ("2021-06-02", "missing"), ("2021-06-03", "missing")]
    )
    def test_brazil(self, plan: FieldPlan, day: str, verdict: str) -> None:
        sheet = r.sheet("BR")
        source = "Nagoya Protocol, Article 33(2); deposit of 4 March 2021"
        r.rule(sheet, Layer.ACCESS, required=False, to_on=date(2021, 6, 1), source=source)
        r.rule(sheet, Layer.ACCESS, from_on=date(2021, 6, 2), source=source)
        on = date.fromisoformat(day)
        f.stop(plan, country="BR", longitude_deg=-50.0, latitude_deg=-10.0, first_on=on, last_on=on)
        assert told(plan, Layer.ACCESS)[0] == verdict

    def test_a_stop_over_the_day(self, plan: FieldPlan) -> None:
        """From 1 to 3 June 2021: one day before the rule, two under it."""
        sheet = r.sheet("BR")
        r.rule(sheet, Layer.ACCESS, required=False, to_on=date(2021, 6, 1))
        r.rule(sheet, Layer.ACCESS, from_on=date(2021, 6, 2))
        place = {"country": "BR", "longitude_deg": -50.0, "latitude_deg": -10.0}
        f.stop(plan, **place, first_on=date(2021, 6, 1), last_on=date(2021, 6, 3))
        assert told(plan, Layer.ACCESS)[:2] == ("cannot-tell", "requirement-unknown")


class TestExchange:
    """The plan written as a file of specimens, and judged by the check of files."""

    SQUARE = {"type": "Polygon", "coordinates": [[[15, 61.5], [16, 61.5], [16, 62.5], [15, 62.5], [15, 61.5]]]}

    def papers(self) -> list[dict[str, Any]]:
        """For land a square, for collecting a limit, people, methods and groups, for export some days."""
        terms = {
            "taxa": {"include": ["Trichoptera", "Odonata"]}, "methods": {"include": ["hand net", "Malaise trap"]},
            "people": {"named": ["J. Ek"]}, "caps": [{"limit": 40, "taxon": "Odonata"}],
        }  # fmt: skip
        land = {**valid("2027-01-01", None), "places": {"include": [{"geojson": self.SQUARE}]}}
        days = {"in_force_from": "2027-06-20", "in_force_to": "2027-07-20"}
        return [
            paper_object("LND-1", layers=["land"], jurisdiction="SE", versions=[land], kind="landowner-consent"),
            paper_object("COL-1", jurisdiction="SE", versions=[valid("2027-06-01", "2027-06-30", **terms)]),
            paper_object("EXP-1", layers=["export"], jurisdiction="SE", versions=[days], kind="export-permit"),
        ]

    def a_plan(self) -> FieldPlan:
        plan = f.field_plan()
        f.way_home(plan, exported_on="2027-06-25")
        late = f.way_home(plan, exported_on="2027-08-01")
        for number, methods in enumerate(("hand net", "hand net | light trap", ""), start=1):
            stop = f.stop(
                plan, methods=methods, people=("J. Ek", "J. Ek | N. Berg", "unknown")[number - 1],
                first_on=date(2027, 6, 4 + number * 5), last_on=date(2027, 6, 6 + number * 5),
                longitude_deg=(15.3, 15.999, 16.5)[number - 1], consignment=late if number == 3 else None,
            )  # fmt: skip
            f.trap(stop, last_on=date(2027, 7, 1) if number == 2 else stop.last_on)
            for name, expected in (("Trichoptera", ""), ("Odonata", "20"), ("Unio crassus", "3")):
                f.target(stop, name, expected=expected, kingdom="Animalia")
        return plan

    def test_cells_equal_the_check_of_files(self, tmp_path: Path) -> None:
        plan, papers = self.a_plan(), self.papers()
        everywhere = r.sheet("")
        for layer in Layer:
            r.rule(everywhere, layer)
        for value in papers:
            paper = actions.register(data=value, by=r.person(Role.REGISTRAR), why="a test")
            f.attach(plan, paper, r.person())
        check = checked(plan)
        uncounted = [replace(row, counts=False) for row in check.rows]
        columns = columns_of([*uncounted, *number_rows(check.rows)])
        with (tmp_path / "plan.csv").open("w", newline="", encoding="utf-8") as file:
            writer = csv.writer(file)
            writer.writerow(columns)
            writer.writerows(zip(*columns.values(), strict=True))
        for value in papers:
            value["covers"] = {"accessions": ["*"]}
        (tmp_path / "papers.json").write_text(json.dumps({"papers": papers}), "utf-8")
        found = check_files(tmp_path / "plan.csv", tmp_path / "papers.json", house=HouseRules(), require=list(Layer))
        by_cell: dict[tuple[int, Layer], Verdict] = {}
        for row, verdicts in zip(check.rows, found.assessment.verdict, strict=False):
            for layer, verdict in zip(found.assessment.layers, verdicts, strict=True):
                by_cell[row.stop, layer] = max(by_cell.get((row.stop, layer), Verdict.COVERED), Verdict(int(verdict)))
        assert {key: cell.verdict for key, cell in check.cells.items()} == by_cell
        assert len(set(by_cell.values())) >= 4, "a plan of one verdict would show little"
