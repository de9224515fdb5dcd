"""The return to the authority of a permit. Numbers are counted by hand in each test.

Items of the form: permit report form of the Australian Government, EPBC Regulations Part 8A (a published copy).
"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from accessions.people.access import role_bits
from governance.duties.models import Deposit
from governance.engine.tables import Layer, Verdict
from governance.papers.models import Paper, VersionCap
from governance.reports.composing.codes import INDIVIDUALS, PERIOD, UNDATED, UNREGISTERED
from tests.factories import register
from tests.factories.composed import composed, everything, notes, rows, value
from tests.factories.usedesk import made_use, recipient
from tests.factories.verdicts import CALM, Why, judged

pytestmark = pytest.mark.django_db

YEAR = {"period_from": date(2024, 1, 1), "period_to": date(2024, 12, 31)}


@pytest.fixture
def permit() -> Paper:
    """A permit of 2024 for an accession."""
    made = register.paper(holder="J. Ek", issued_on=date(2024, 4, 2), second_number="NDE/2024/771")
    register.version(made, "2024-01-01", "2024-12-31")
    register.link(made, accession=register.accession())
    return made


def take(day: str = "2024-06-17", name: str = "Calopteryx splendens", last: str = "", **fields: Any) -> Any:
    """A specimen of the accession, taken on a day, or on one of some days."""
    until: dict[str, Any] = {"latest_on": date.fromisoformat(last)} if last else {}
    event = register.event(day=day, **until)
    written = register.written_name(name, rank="species", genus=name.split()[0])
    return register.specimen(event=event, name=written, **fields)


def test_numbers_by_taxon_are_of_the_days_of_the_period(permit):
    """The day before, the first day, the last day, the day after; 2 + 1 + 30 individuals in the period."""
    for day in ("2023-12-31", "2024-01-01", "2024-12-31", "2025-01-01"):
        take(day)
    take(name="Onychogomphus forcipatus", kind="lot", count_low=30, count_high=30)
    made = composed("agency", paper=permit, **YEAR)
    columns = ("taxon", "taken", "removed", "released", "salvaged", "cap", "first_on", "last_on")
    assert rows(made, "taken", *columns) == [
        ("Calopteryx splendens", 2, 2, None, None, None, "2024-01-01", "2024-12-31"),
        ("Onychogomphus forcipatus", 30, 30, None, None, None, "2024-06-17", "2024-06-17"),
    ]
    keys = ("taken", "removed", "taxa", "samples", "not_known")
    assert [value(made, key) for key in keys] == ["32", "32", "2", "3", "0"]
    assert value(made, "nil_return") == "not-nil"


def test_parts_taken_from_a_specimen_are_not_counted(permit):
    leg = register.specimen(parent=take(), kind="part", preparation="leg")
    made = composed("agency", paper=permit, **YEAR)
    assert value(made, "taken") == "1"
    assert leg.catalog_number not in everything(made)


def test_what_is_gone_was_removed_all_the_same(permit):
    made_use(take(), deed="gift", recipient=recipient(name="Nordvik Museum"), on=date(2025, 2, 1))
    made = composed("agency", paper=permit, **YEAR)
    assert rows(made, "taken", "taken", "removed") == [(1, 1)]
    assert rows(made, "material", "now", "holder") == [("gift", "Nordvik Museum")]


def test_days_that_are_not_known_or_reach_beyond_stand_apart(permit):
    """One without a day, one of 20 December to 5 January, one of no certain number: none is in the numbers as sure."""
    take(day="")
    take("2024-12-20", last="2025-01-05")
    take(kind="lot", count_low=1, count_high=None)
    made = composed("agency", paper=permit, **YEAR)
    assert [row[0] for row in rows(made, "unknown", "question")] == [UNDATED, PERIOD, INDIVIDUALS]
    assert value(made, "taken") == "1"
    assert [value(made, key) for key in ("samples", "samples_maybe", "samples_undated")] == ["1", "1", "1"]
    assert notes(made)["unknown_undated"] == {"n": 1}


def test_without_a_period_everything_counts(permit):
    take(day="")
    take("1999-05-01")
    made = composed("agency", paper=permit)
    assert value(made, "taken") == "2"
    assert rows(made, "unknown", "question") == []


def test_released_and_salvaged_are_what_people_told(permit):
    """Not told is None; a told 0 is 0; a taxon that was only released has its line."""
    take()
    released = "Calopteryx splendens (Harris, 1780): 12\nUnio crassus: 3"
    told = {"released": released, "salvaged": "calopteryx splendens: 0"}
    made = composed("agency", paper=permit, texts=told, **YEAR)
    assert rows(made, "taken", "taxon", "taken", "released", "salvaged") == [
        ("Calopteryx splendens", 1, 12, 0), ("Unio crassus", 0, 3, None),
    ]  # fmt: skip
    assert (value(made, "released"), value(made, "salvaged")) == ("15", "0")


def test_numbers_that_nobody_told_have_no_figure(permit):
    """A sum over nothing would read as 0."""
    take()
    made = composed("agency", paper=permit, **YEAR)
    assert value(made, "released") is None
    assert {"released_not_told", "salvaged_not_told"} <= set(notes(made))


def test_a_text_that_cannot_be_read_counts_nothing_and_says_so(permit):
    made = composed("agency", paper=permit, texts={"released": "Unio crassus: 3\ntwelve frogs"}, **YEAR)
    assert rows(made, "taken", "taxon") == []
    assert notes(made)["text_unread"] == {"text": "released", "lines": 1}
    assert value(made, "nil_return") == "cannot-tell"


def nil_of(permit: Paper, **about: Any) -> Any:
    return value(composed("agency", paper=permit, **{**YEAR, **about}), "nil_return")


def test_nil_where_nothing_was_taken(permit):
    take("2023-06-17")
    assert nil_of(permit) == "nil"
    assert nil_of(permit, texts={"released": "Unio crassus: 0"}) == "nil"
    assert nil_of(permit, texts={"released": "Unio crassus: 1"}) == "not-nil"


def test_no_nil_where_something_undated_may_have_been_taken(permit):
    take(day="")
    assert nil_of(permit) == "cannot-tell"


def test_what_was_here_before_the_period_was_not_taken_in_it(permit):
    """Received on the day before: nil. On the first day, or with a delivery on it or on a day that is not known: no."""
    accession = permit.links.get().accession
    take(day="")
    for day, answer in ((date(2023, 12, 31), "nil"), (date(2024, 1, 1), "cannot-tell")):
        accession.received_on = day
        accession.save()
        assert nil_of(permit) == answer
    accession.received_on = date(2023, 12, 31)
    accession.save()
    arrived = register.delivery(accession)
    for arrived_on, answer in ((date(2023, 12, 31), "nil"), (date(2024, 1, 1), "cannot-tell"), (None, "cannot-tell")):
        arrived.received_on = arrived_on
        arrived.save()
        assert nil_of(permit) == answer


def test_no_nil_for_an_accession_that_is_not_registered(permit):
    """The box that came in 2024 has no specimens yet: what is in it nobody knows."""
    accession = permit.links.get().accession
    assert nil_of(permit) == "cannot-tell"
    accession.received_on = date(2023, 12, 31)
    accession.save()
    assert nil_of(permit) == "nil"


def test_no_nil_for_an_accession_of_which_less_is_registered_than_it_holds(permit):
    accession = permit.links.get().accession
    take("2023-06-17")
    for total, answer in ((1, "nil"), (2, "cannot-tell")):
        accession.total = total
        accession.save()
        assert nil_of(permit) == answer
    made = composed("agency", paper=permit, **YEAR)
    assert rows(made, "unknown", "question", "accession") == [(UNREGISTERED, accession.number)]


def test_no_nil_where_material_of_the_country_has_no_paper(permit):
    take("2023-06-17")
    register.specimen(accession=register.accession("LMN-2024-099"), event=register.event(day="2024-06-17"))
    made = composed("agency", paper=permit, **YEAR)
    assert value(made, "nil_return") == "cannot-tell"
    assert notes(made)["unlinked_material"] == {"n": 1}


def cap(permit: Paper, limit: int, **fields: Any) -> None:
    VersionCap.objects.create(version=permit.versions.get(), limit=limit, **fields)


@pytest.mark.parametrize(
    ("fields", "expected"),
    [
        ({"taxon": "Calopteryx splendens"}, (20, "paper")),
        ({"taxon": "Calopteryx"}, (20, "paper-together")),
        ({"taxon": "Calopteryx", "each": "species"}, (20, "paper")),
        ({"taxon": "Unio", "each": "species"}, (None, None)),
        ({"each": "species"}, (20, "paper")),
        ({}, (20, "paper-together")),
        ({"taxon": "Calopteryx splendens", "per": "year"}, (20, "year")),
        ({"taxon": "Calopteryx splendens", "per": "site"}, (20, "site")),
        ({"taxon": "Calopteryx", "per": "event", "each": "species"}, (20, "event")),
    ],
)
def test_the_limit_of_a_taxon_is_that_of_the_permit(permit, fields, expected):
    """With what it counts: the taxon alone or with others, in all, a year, at a site or an event; and in a note."""
    take()
    cap(permit, 20, **fields)
    made = composed("agency", paper=permit, **YEAR)
    assert rows(made, "taken", "cap", "cap_of") == [expected]
    (key,) = [key for key in notes(made) if key.startswith("cap_")]
    assert notes(made)[key] == {"limit": 20, "taxon": fields.get("taxon") or "*"}
    assert key == f"cap_{fields.get('per', 'paper')}" + ("_each" if fields.get("each") else "")


def test_a_limit_of_a_year_is_told_as_one_in_two_years(permit):
    take()
    cap(permit, 20, taxon="Calopteryx splendens", per="year")
    made = composed("agency", paper=permit, period_from=date(2024, 1, 1), period_to=date(2025, 1, 1))
    assert rows(made, "taken", "cap", "cap_of") == [(20, "year")]


def test_of_several_limits_the_one_in_all_is_the_number(permit):
    """20 in all and 5 a site: 20, "several"; all stand in notes. With 5 a site and 8 an event there is no number."""
    take()
    cap(permit, 20, taxon="Calopteryx splendens")
    cap(permit, 5, taxon="Calopteryx splendens", per="site")
    made = composed("agency", paper=permit, **YEAR)
    assert rows(made, "taken", "cap", "cap_of") == [(20, "several")]
    assert {"cap_paper", "cap_site"} <= set(notes(made))
    permit.versions.get().versioncaps.filter(per="paper").update(limit=8, per="event")
    assert rows(composed("agency", paper=permit, **YEAR), "taken", "cap", "cap_of") == [(None, "several")]


def test_versions_that_do_not_agree_give_no_limit(permit):
    """Amended on 1 July from 20 to 30: only a period before or after has one number."""
    take()
    cap(permit, 20, taxon="Calopteryx splendens")
    later = register.version(permit, "2024-07-01", "2024-12-31")
    VersionCap.objects.create(version=later, limit=30, taxon="Calopteryx splendens")
    assert rows(composed("agency", paper=permit, **YEAR), "taken", "cap", "cap_of") == [(None, "several")]
    half = composed("agency", paper=permit, period_from=date(2024, 1, 1), period_to=date(2024, 6, 30))
    assert rows(half, "taken", "cap") == [(20,)]


def test_days_that_are_vague_stand_in_no_first_or_last_day(permit):
    """One of May 2024 (no day), one of 17 June: the return names 17 June alone, and how many are vague."""
    take("2024-05-01", last="2024-05-31")
    take("2024-06-17")
    made = composed("agency", paper=permit, **YEAR)
    assert rows(made, "taken", "taken", "first_on", "last_on") == [(2, "2024-06-17", "2024-06-17")]
    assert notes(made)["days_not_exact"] == {"n": 1}


def strip(layer: Layer, verdict: Verdict) -> str:
    return CALM[:layer] + str(int(verdict)) + CALM[layer + 1 :]


def test_exceptions_are_the_standing_findings_of_the_layers_of_the_permit(permit):
    """Outside in the layer of the permit: told. In order there and missing in another layer: not this authority's. A
    third was never judged, which is said; one of the year before is not of this return."""
    bad, other = take(), take()
    judged(bad, strip(Layer.COLLECTING, Verdict.OUTSIDE), {Layer.COLLECTING: Why("x", "{name} is left out.")})
    judged(other, strip(Layer.ACCESS, Verdict.MISSING), {Layer.ACCESS: Why("y", "CANARY")})
    take()
    judged(take("2023-06-17"), strip(Layer.COLLECTING, Verdict.OUTSIDE), {Layer.COLLECTING: Why("z", "CANARY")})
    made = composed("agency", paper=permit, left_out=["exceptions"], **YEAR)
    assert "exceptions" in made.contents.parts, "exceptions cannot be left out"
    assert rows(made, "exceptions", "layer", "verdict", "finding") == [
        ("collecting", "outside", "Calopteryx splendens is left out."),
    ]  # fmt: skip
    assert value(made, "exception_specimens") == "1"
    assert (notes(made)["exceptions_exist"], notes(made)["not_judged"]) == ({"n": 1}, {"n": 1})
    assert "CANARY" not in everything(made)


def test_that_no_finding_is_there_is_not_said_of_what_was_not_judged(permit):
    take()
    said = notes(composed("agency", paper=permit, **YEAR))
    assert "exceptions_none" not in said and said["not_judged"] == {"n": 1}


def test_uses_by_others_are_no_nothing_passed_on(permit):
    """Sequenced by an institute abroad without a transfer on file: a warning, and no word that there is no transfer."""
    made_use(take(), deed="sequencing", recipient=recipient(name="Hafn Institute", country="IS"), on=date(2026, 5, 2))
    said = notes(composed("agency", paper=permit, **YEAR))
    assert said["uses_by_others"] == {"n": 1} and "transfers_none" not in said
    assert "commercial_uses_none" in said


def test_deposits_of_duplicates_on_file_are_told(permit):
    """Two deposits, one with a receipt, the other entered for the accession under another paper; a third is of another
    accession."""
    accession = take().accession
    terms, other = register.paper("ABS-2024-009"), register.accession("LMN-2024-099")
    for about in (
        {"paper": permit, "receipt": "R-7"}, {"paper": terms, "accession": accession},
        {"paper": terms, "accession": other},
    ):  # fmt: skip
        Deposit.objects.create(
            on=date(2025, 3, 3), depository="Nazvri Museum", country="GE", specimens=2,
            recorded_by=register.person("registrar"), **about,
        )  # fmt: skip
    said = notes(composed("agency", paper=permit, **YEAR))
    assert said["duplicate_on_file"] == {"n": 2, "receipts": 1} and "duplicate_missing" not in said


def test_all_eight_items_of_the_australian_form_are_there(permit):
    """Permit report form of the Australian Government (EPBC Regulations, Part 8A), items 1 to 8."""
    take()
    texts = {"findings": "Two streams hold the species.", "duplicate": "Offered on 3 March 2025."}
    made = composed("agency", paper=permit, texts=texts, **YEAR)
    facts = {fact.key: fact.value for fact in made.contents.facts}
    said, parts = notes(made), made.contents.parts
    item_1 = [facts[key] for key in ("paper_kind", "paper_number", "holder", "issued_on", "valid_to")]
    assert item_1 == ["collecting-permit", "COL-2024-052", "J. Ek", "2024-04-02", "2024-12-31"]
    assert "samples" in parts and len(made.tables["material"].rows) == 1  # item 2: all samples
    assert made.contents.texts["findings"] and said["findings_words"] == {"n": 5, "most": 250}  # item 3
    assert made.contents.texts["duplicate"] and "duplicate_told" in said  # item 4
    assert "declare_correct" in said  # item 5
    assert "declare_no_commercial_use" in said  # item 6
    assert "declare_no_transfer" in said  # item 7
    assert "signature" in parts and "sign_here" in said and {"institution", "address"} <= facts.keys()  # item 8


def test_what_is_missing_of_the_form_is_said(permit):
    made = composed("agency", paper=permit, left_out=["declarations"], **YEAR)
    assert {"findings_missing", "duplicate_missing"} <= set(notes(made))
    assert "declarations" in made.contents.parts, "declarations cannot be left out"


@pytest.mark.parametrize(("words", "is_long"), [(250, False), (251, True)])
def test_findings_of_more_than_about_250_words_are_noted(permit, words, is_long):
    made = composed("agency", paper=permit, texts={"findings": "word " * words}, **YEAR)
    assert ("findings_long" in notes(made)) is is_long


def test_declarations_stand_beside_what_the_register_holds(permit):
    """A gift in a later year is a transfer all the same; a return to the provider is none; a commercial sequencing."""
    first, second, third = take(), take(), take()
    made_use(first, deed="gift", recipient=recipient(name="Nordvik Museum"), on=date(2025, 2, 1))
    made_use(second, deed="return", recipient=recipient(name="Nazvri Museum", country="GE"), on=date(2025, 2, 1))
    made_use(third, deed="sequencing", commercial="yes", on=date(2025, 2, 1))
    made_use(third, deed="imaging", commercial="no", on=date(2025, 2, 1))
    said = notes(composed("agency", paper=permit, **YEAR))
    assert (said["transfers_recorded"], said["commercial_uses_recorded"]) == ({"n": 1}, {"n": 1})


def test_publications_and_duplicates_on_file_are_told_whenever(permit):
    """Both usually follow the period: items 3 and 4 of the form."""
    made_use(take(), deed="publication", citation="Ek (2026), Rivers 3: 1-9", on=date(2026, 2, 1))
    Deposit.objects.create(
        on=date(2025, 3, 3), depository="Nazvri Museum", country="GE", specimens=2, paper=permit, receipt="R-7",
        receipt_on=date(2025, 3, 9), recorded_by=register.person("registrar"),
    )  # fmt: skip
    made = composed("agency", paper=permit, **YEAR)
    assert rows(made, "publications", "citation") == [("Ek (2026), Rivers 3: 1-9",)]
    assert rows(made, "deposits", "depository", "specimens", "receipt") == [("Nazvri Museum", 2, "R-7")]


def test_who_may_not_read_the_permit_writes_no_word_of_it(permit):
    """Its number, kind and days everybody knows."""
    take()
    cap(permit, 20, taxon="Calopteryx splendens")
    Paper.objects.filter(pk=permit.pk).update(
        holder="CANARY-HOLDER", issuer="CANARY-ISSUER", second_number="CANARY-2",
        restricted_to=role_bits(["compliance"]), restricted_why="secret",
    )  # fmt: skip
    made = composed("agency", paper=permit, **YEAR)
    assert "CANARY" not in everything(made)
    assert rows(made, "taken", "cap") == [(None,)]
    assert notes(made)["kept_papers"] == {"n": 1}
    readable = composed("agency", reader=register.person("compliance"), paper=permit, **YEAR)
    assert value(readable, "holder") == "CANARY-HOLDER"
    assert rows(readable, "taken", "cap") == [(20,)]


def test_nothing_of_verdicts_is_asked_for(permit):
    take()
    assert rows(composed("agency", paper=permit, **YEAR), "material", "verdict") == [(None,)]
