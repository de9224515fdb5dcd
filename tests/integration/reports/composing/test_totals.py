"""Totals of a report to a provider country against hand counts, and against an independent count in raw SQL."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from accessions.people.models import Role
from governance.engine.tables import Layer, Verdict
from governance.reports.composing import compose
from governance.reports.composing.annual import TABLES as OF_BENEFITS
from governance.reports.composing.codes import CODES
from governance.reports.composing.facts import FACTS
from governance.reports.composing.figures import FIGURES
from governance.reports.composing.notes import NOTES
from governance.reports.composing.provider import TABLES
from governance.reports.composing.scope import STEPS
from governance.reports.contents import ColumnType, Contents
from governance.reports.models import Report
from governance.usedesk.models import MadeUse, Remedy, UseItem
from tests.factories import duties, register
from tests.factories.usedesk import made_use, recipient
from tests.factories.verdicts import Why, judged, overruled
from tests.integration.reports.composing.georgia import (
    TODAY,
    YEAR,
    Georgia,
    column,
    lend,
    make_georgia,
    note,
    number,
    numbers,
    report_on,
    sequence,
    unproved,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def georgia() -> Georgia:
    return make_georgia()


def test_material_counted_by_hand(georgia: Georgia) -> None:
    """3 + 10 + 1 + 1 + 1 + 1 individuals that are certain; the leg is one of the three. Three names, two accessions."""
    made = report_on(**YEAR)
    assert numbers(made, "specimens", "individuals", "taxa", "accessions") == [7, 17, 3, 2]
    assert numbers(made, "taken_in_period", "taken_maybe", "taken_not_known") == [3, 1, 1]
    assert dict(column(made, "material", "specimen", "in_period")) == {
        "A1": "in", "A2": "in", "A3": "outside", "A4": "outside", "A5": "not-known", "A6": "maybe", "B1": "in",
    }  # fmt: skip
    assert note(made, "taken_not_known") and note(made, "nothing_taken") is None
    assert unproved(made) == []


def test_a_leg_in_another_accession_is_material_of_the_country(georgia: Georgia) -> None:
    made = report_on()
    rows = {row[0]: row[1:] for row in column(made, "material", "specimen", "accession", "taken_from", "individuals")}
    assert rows["B1"] == ("LMN-2", "A1", None)
    assert "P1" not in rows
    assert numbers(made, "taken_in_period") == [7], "a period without bounds holds all, whenever it was taken"


def _count(sql: str, *parameters: Any) -> int:
    with connection.cursor() as cursor:
        cursor.execute(sql, parameters)
        return int(cursor.fetchone()[0] or 0)


_OF_GEORGIA = """
    FROM material_specimen s JOIN material_samplingevent e ON e.id = s.event_id
    LEFT JOIN material_specimen p ON p.id = s.parent_id LEFT JOIN material_samplingevent pe ON pe.id = p.event_id
    WHERE (e.country = 'GE' OR pe.country = 'GE')"""
_ITEMS = "FROM usedesk_useitem i JOIN usedesk_madeuse u ON u.id = i.use_id WHERE u.voided_at IS NULL AND u.on {} AND {}"


def test_totals_equal_an_independent_count(georgia: Georgia) -> None:
    """By statements of their own over the tables of the register; periods as BETWEEN, which takes both days in."""
    lend(georgia)
    sequence(georgia)
    made_use(georgia.after, deed="loss", on=date(2025, 12, 31))
    made = report_on(**YEAR)
    year = "BETWEEN '2025-01-01' AND '2025-12-31'"
    of_georgia = f"i.specimen_id IN (SELECT s.id {_OF_GEORGIA})"

    def items(condition: str) -> str:
        quoted = _ITEMS.replace("u.on", 'u."on"').format(year, f"{of_georgia} AND {condition}")
        return f"SELECT COUNT(*) {quoted}"

    assert numbers(made, "specimens", "individuals") == [
        _count(f"SELECT COUNT(*) {_OF_GEORGIA}"),
        _count(f"SELECT SUM(s.count_low) {_OF_GEORGIA} AND s.parent_id IS NULL"),
    ]
    assert numbers(made, "lent", "lent_back", "losses", "sequences") == [
        _count(items("u.deed = 'loan'")), _count(items("u.deed = 'loan' AND i.returned_id IS NOT NULL")),
        _count(items("u.deed = 'loss'")), _count("SELECT COUNT(*) FROM usedesk_sequence"),
    ]  # fmt: skip


def test_movements_and_where_everything_is_now(georgia: Georgia) -> None:
    """Three lent: one back, one out, one kept. The kept one is neither out nor back; what nobody took is here."""
    lend(georgia)
    made_use(georgia.after, deed="loss", on=date(2025, 12, 31))
    UseItem.objects.filter(use__deed="loss").update(is_used_up=True)
    made = report_on(**YEAR)
    assert column(made, "movements", "entry", "deed", "specimens", "back", "out", "country") == [
        ("L-1", "loan", 3, 1, 1, "IS"), ("L-1a", "retention", 1, None, None, "IS"),
    ]  # fmt: skip
    assert numbers(made, "lent", "lent_back", "lent_out", "moved_retention") == [3, 1, 1, 1]
    assert numbers(made, "now_here", "now_out", "now_retention", "now_lost") == [4, 1, 1, 1]
    holders = dict(column(made, "material", "specimen", "holder"))
    assert holders["A2"] == holders["A3"] == "Hafnarvík Institute"
    assert holders["A1"] is None
    assert number(made, "losses") == "1"
    assert unproved(made) == []


def test_what_is_damaged_but_there_is_here(georgia: Georgia) -> None:
    made_use(georgia.three, deed="loss", on=date(2025, 4, 1))
    made = report_on(**YEAR)
    assert dict(column(made, "material", "specimen", "now"))["A1"] == "here"
    assert column(made, "losses", "specimen", "deed") == [("A1", "loss")]


@pytest.mark.parametrize(
    ("day", "is_told"), [("2024-12-31", False), ("2025-01-01", True), ("2025-12-31", True), ("2026-01-01", False)]
)
def test_the_period_bounds_uses_sequences_publications_losses_benefits_deposits_and_duties(
    georgia: Georgia, day: str, is_told: bool
) -> None:
    """The day before, the first, the last, and the day after."""
    on = date.fromisoformat(day)
    paper = register.paper("ABS-1", kind="mutually-agreed-terms")
    made_use(georgia.lot, on=on, reference="loan")
    made_use(georgia.lot, deed="publication", citation="A paper", on=on)
    made_use(georgia.lot, deed="disposal", on=on)
    sequenced = sequence(georgia)
    MadeUse.objects.filter(pk=sequenced.pk).update(on=on)
    duties.given(on=on)
    duties.deposit(on=on)
    duties.done_duty(paper=paper, due_on=date(2030, 1, 1), done_on=on)
    made = report_on(**YEAR)
    for table in ("movements", "publications", "losses", "given", "deposits", "duties"):
        assert len(made.tables[table].rows) == int(is_told), table
    for table in ("uses", "sequences"):
        assert len(made.tables[table].rows) == 2 * int(is_told), table
    assert number(made, "specimens") == "7", "material is all there is, whatever the period"


def test_open_duties_are_told_whenever_they_are_due(georgia: Georgia) -> None:
    """The paper of the country, and not that of another country."""
    own, other = register.paper("ABS-1"), register.paper("IMP-1", jurisdiction="SE")
    duties.duty(paper=own, due_on=date(2026, 11, 25))
    duties.duty(paper=own, due_on=None)
    duties.duty(paper=own, due_on=date(2025, 6, 1), dropped_on=date(2025, 1, 1), dropped_why="No longer")
    duties.done_duty(paper=own, due_on=date(2024, 1, 31), done_on=date(2024, 1, 20))
    duties.duty(paper=other, due_on=date(2026, 11, 25))
    made = report_on(**YEAR)
    assert column(made, "duties", "paper", "state") == [("ABS-1", "late"), ("ABS-1", "day-not-known")]
    assert note(made, "duties_late") is not None


def test_what_stayed_in_the_country_and_was_never_entered(georgia: Georgia) -> None:
    """10 in 2025 and 10 in 2024: 20 in all, which the rows of 2025 do not prove; those of all years do."""
    duties.deposit(on=date(2025, 7, 1))
    duties.deposit(on=date(2024, 7, 1))
    given = made_use(georgia.lot, deed="gift", on=date(2025, 7, 1))
    duties.deposit(on=date(2025, 7, 1), use=given, specimens=None)
    of_year, of_all = note(report_on(**YEAR), "never_entered"), note(report_on(), "never_entered")
    assert of_year is not None and of_year.values == {"n": 20} and of_year.proof is None
    assert of_all is not None and of_all.proof is not None and of_all.proof.where == {"entry": None}
    assert unproved(report_on()) == []


def test_what_is_covered_and_what_needs_no_paper_is_in_order(georgia: Georgia) -> None:
    """All layers covered; one covered, all others need no paper: neither is more in order than the other."""
    judged(georgia.three, "000000000")
    judged(georgia.lot, "011111111")
    judged(georgia.before, "211111111")
    rows = dict(column(report_on(**YEAR), "material", "specimen", "verdict"))
    assert (rows["A1"], rows["A2"], rows["A3"]) == ("in-order", "in-order", "cannot-tell")
    assert numbers(report_on(**YEAR), "verdict_in-order", "verdict_not-judged") == [2, 4]


def test_no_movement_is_said_with_the_uses_by_others(georgia: Georgia) -> None:
    made = made_use(georgia.lot, deed="sequencing", on=date(2025, 3, 2), use=8)
    assert note(report_on(**YEAR), "no_movements") is not None, "nobody else did it"
    MadeUse.objects.filter(pk=made.pk).update(recipient=recipient(name="Lab in Iceland"))
    told = report_on(**YEAR)
    assert (note(told, "no_movements"), bool(note(told, "no_movements_but_uses"))) == (None, True)


def test_two_currencies_are_never_added(georgia: Georgia) -> None:
    """100.50 + 50 euro and 200 dollars; three days of training beside them."""
    for amount, currency in (("100.50", "EUR"), ("50", "EUR"), ("200", "USD")):
        duties.given(on=date(2025, 5, 4), code="M-a", amount=amount, currency=currency, quantity=None, unit="")
    duties.given(on=date(2025, 5, 4))
    duties.promise(register.paper("ABS-1"), amount="1000", currency="EUR", quantity=None, unit="", code="M-a")
    made = report_on(**YEAR)
    assert [number(made, "given_amount", unit) for unit in ("EUR", "USD", "days")] == ["150.5", "200", "3"]
    assert number(made, "promised_amount", "EUR") == number(made, "promised_open", "EUR") == "1000"
    assert numbers(made, "benefits_given", "given_M-a", "given_N-d") == [4, 3, 1]
    assert unproved(made) == []


def test_exceptions_told_frankly(georgia: Georgia) -> None:
    """A4 has two layers that are not fine; what a person decided stands beside what was worked out, and is told."""
    permit = register.paper("COL-1")
    late = Why("after-end", "Collected {when}, 3 days after the end date of COL-1.", permit)
    judged(georgia.three)
    judged(georgia.lot, "141111111", {Layer.COLLECTING: late})
    judged(georgia.after, "242111111", {Layer.COLLECTING: late})
    overruled(georgia.lot, Layer.COLLECTING, Verdict.COVERED)
    made = report_on(**YEAR)
    rows = column(made, "exceptions", "specimen", "layer", "verdict", "finding", "paper", "decided")
    decided = f"Letter of the owner ({timezone.now():%Y-%m-%d})"
    assert rows == [
        ("A2", "collecting", "covered", "Collected 2025-06-17, 3 days after the end date of COL-1.", "COL-1", decided),
        ("A4", "land", "cannot-tell", "", "", None),
        ("A4", "collecting", "outside", "Collected 2026-01-01, 3 days after the end date of COL-1.", "COL-1", None),
        ("A4", "species", "cannot-tell", "", "", None),
    ]  # fmt: skip
    assert numbers(made, "exceptions", "exception_specimens", "exceptions_covered") == [4, 2, 1]
    cannot_tell = note(made, "cannot_tell")
    assert cannot_tell is not None and cannot_tell.values == {"n": 1}
    assert numbers(made, "verdict_outside", "verdict_not-judged") == [1, 4]
    assert unproved(made) == []


def test_what_the_register_cannot_tell(georgia: Georgia) -> None:
    """A5: no day, no place, a genus. A6: days that are not one. A2: 10 to 20. The loan names nobody; its answer is not
    there. The papers: one without a version, one whose version nobody read for uses."""
    register.paper("UNREAD-1")
    register.version(register.paper("READ-1"))
    judged(georgia.three, "511111111")
    for one in (georgia.lot, georgia.before, georgia.after, georgia.undated, georgia.leg):
        judged(one)
    made_use(georgia.lot, on=date(2025, 3, 2), use=2)
    found: dict[Any, list[Any]] = {}
    for question, specimen, paper in column(report_on(**YEAR), "unknown", "question", "specimen", "paper"):
        found.setdefault(question, []).append(specimen or paper)
    assert found == {
        "undated": ["A5", "A6"], "unplaced": ["A5"], "unidentified": ["A5"], "individuals": ["A2"],
        "not-judged": ["A6"], "no-paper": ["A1"], "paper-unread": ["UNREAD-1"], "terms-unread": ["READ-1"],
        "use-unanswered": ["A2"], "whereabouts": ["A2"],
    }  # fmt: skip


def test_remedies_and_uses_outside_the_terms(georgia: Georgia) -> None:
    made = made_use(georgia.lot, deed="imaging", on=date(2025, 5, 1), reference="I-1")
    made.items.update(is_outside=True, answer=2)
    made_use(georgia.three, deed="study", on=date(2025, 5, 1)).items.update(answer=0)
    told = report_on(**YEAR)
    assert column(told, "uses", "entry", "answer", "outside")[0] == ("I-1", "ask-first", "yes")
    assert note(told, "uses_outside_without_remedy") is not None
    Remedy.objects.create(use=made, what="Tell the provider", opened_by=register.person())
    told = report_on(**YEAR)
    assert column(told, "remedies", "entry", "what") == [("I-1", "Tell the provider")]
    assert note(told, "uses_outside_without_remedy") is None
    assert number(told, "remedies_open") == number(told, "uses_outside") == "1"


def test_a_publication_counts_the_specimens_of_this_country_alone(georgia: Georgia) -> None:
    made_use(georgia.three, georgia.of_peru, deed="publication", citation="A paper", on=date(2025, 5, 1))
    made = report_on(**YEAR)
    assert column(made, "publications", "specimens", "acknowledged") == [(1, "not-told")]


def test_entries_that_were_voided_are_left_out(georgia: Georgia) -> None:
    person = register.person()
    made_use(georgia.lot, on=date(2025, 3, 2), voided_at=timezone.now(), voided_by=person, voided_why="A slip")
    made = report_on(**YEAR)
    assert number(made, "movements") == "0"
    assert number(made, "now_here") == "7"


def test_nothing_taken_in_the_period_is_said(georgia: Georgia) -> None:
    """In 1999 nothing was; but the one of which no day is known may have been, which is not the same."""
    period: dict[str, Any] = {"period_from": date(1999, 1, 1), "period_to": date(1999, 12, 31)}
    made = report_on(**period)
    assert (note(made, "nothing_taken"), bool(note(made, "nothing_known_taken"))) == (None, True)
    georgia.undated.delete()
    made = report_on(**period)
    assert (bool(note(made, "nothing_taken")), note(made, "nothing_known_taken")) == (True, None)


def test_a_report_on_a_paper_has_the_material_it_bears_on(georgia: Georgia) -> None:
    """Linked to one accession: its six rows, and the leg that was taken from one of them."""
    paper = register.paper("ABS-1", kind="mutually-agreed-terms")
    register.link(paper, accession=georgia.here)
    georgia.of_peru.accession = georgia.there
    georgia.of_peru.save()
    made = report_on("benefits", paper=paper)
    assert {specimen for (specimen,) in column(made, "material", "specimen")} == {
        "A1", "A2", "A3", "A4", "A5", "A6", "B1",
    }  # fmt: skip
    assert column(made, "papers", "paper", "specimens") == [("ABS-1", 7)]
    assert (made.contents.subject, made.contents.country) == ("ABS-1", "GE")


def test_every_key_and_code_is_listed_and_contents_come_back_from_json(georgia: Georgia) -> None:
    lend(georgia)
    sequence(georgia)
    judged(georgia.lot, "141211111")
    duties.given(on=date(2025, 5, 4))
    duties.promise(register.paper("ABS-1"), is_deposit=True, share_percent=50, quantity=None, unit="")
    for kind, tables in (("provider", TABLES), ("benefits", OF_BENEFITS)):
        made = report_on(kind, **YEAR)
        assert tuple(made.tables) == tables
        assert unproved(made) == []
        assert {one.key for one in made.contents.figures} <= set(FIGURES)
        assert {one.key for one in (*made.contents.notes, *made.contents.disclosure.kept_back)} <= set(NOTES)
        assert {one.key for one in made.contents.facts} <= set(FACTS)
        for table in made.tables.values():
            words = [(table.place(one.key), CODES[one.words]) for one in table.columns if one.type == ColumnType.WORD]
            assert all(len(row) == len(table.columns) for row in table.rows)
            assert all(row[place] in (None, *codes) for row in table.rows for place, codes in words), table.key
        assert Contents.from_json(made.contents.as_json()) == made.contents


def test_a_part_that_is_left_out_takes_its_tables_and_figures_with_it(georgia: Georgia) -> None:
    """The register's own exceptions cannot be left out."""
    lend(georgia)
    made = report_on(**YEAR, left_out=["movements", "sequences", "exceptions", "map"])
    assert made.tables.keys() & {"movements", "sequences"} == set()
    assert "exceptions" in made.tables
    assert column(made, "used", "deed") == []
    assert made.contents.map is None
    assert {one.proof.table for one in made.contents.figures} <= made.tables.keys()


def test_progress_is_told_by_rows(georgia: Georgia) -> None:
    told: list[tuple[str, int, int]] = []
    report = Report(reference="RP", kind="provider", country="GE")
    compose(report, reader=register.person(Role.REGISTRAR), today=TODAY, progress=lambda *one: told.append(one))
    assert {step for step, _, _ in told} == set(STEPS)
    assert ("material", 7, 7) in told
    assert all(done <= total for _, done, total in told)


def test_more_material_asks_no_more_of_the_database(georgia: Georgia) -> None:
    """Twenty specimens more of each sort, each with a verdict of its own and in a loan of its own."""
    paper = register.paper("COL-1")
    late = Why("after-end", "Collected {when}, after the end date of COL-1.", paper)

    def some(number: int) -> None:
        for _ in range(number):
            one = register.specimen(accession=georgia.here, event=register.event(day="2025-06-17"))
            judged(one, "141111111", {Layer.COLLECTING: late})
            made_use(one, on=date(2025, 3, 2))

    some(1)
    with CaptureQueriesContext(connection) as few:
        report_on(**YEAR)
    some(20)
    with CaptureQueriesContext(connection) as many:
        made = report_on(**YEAR)
    assert numbers(made, "specimens", "exceptions", "lent_out") == [28, 21, 21]
    assert len(many) == len(few)


def test_material_of_no_known_country_is_not_passed_over(georgia: Georgia) -> None:
    """Whether it is of Georgia nobody knows; what was taken from a specimen of Georgia is of it all the same."""
    nowhere = register.event(day="2025-06-17", country="")
    register.specimen(event=nowhere)
    register.specimen(event=nowhere, parent=georgia.three, kind="part")
    made = report_on(**YEAR)
    said = note(made, "country_not_known")
    assert said is not None and said.values == {"n": 1}
    assert number(made, "specimens") == "8"


def test_a_part_of_a_specimen_from_elsewhere_is_counted_here(georgia: Georgia) -> None:
    """Its own record says Georgia, that of the specimen Peru: its one individual is counted nowhere else."""
    register.specimen("B2", parent=georgia.of_peru, kind="part", event=georgia.three.event)
    made = report_on(**YEAR)
    rows = {row[0]: row[1:] for row in column(made, "material", "specimen", "individuals", "taken_from")}
    assert rows["B2"] == (1, "P1")


def test_a_country_without_material(georgia: Georgia) -> None:
    made = report_on(country="FI", **YEAR)
    assert numbers(made, "specimens", "uses", "exceptions", "promises") == [0, 0, 0, 0]
    assert note(made, "nothing_taken") is not None
    assert unproved(made) == []
