"""Country sheets: what their actions write, what their pages say, and that nothing is ever made up."""

from __future__ import annotations

from datetime import date

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from accessions.material.models import Touch
from accessions.people.access import NotAllowedError
from accessions.people.models import Role
from governance.engine.tables import Layer
from governance.verdicts.actions import assess
from governance.verdicts.actions.sheets import (
    add_rule,
    change_sheet,
    correct_rule,
    end_rule,
    follow_rule,
    stamp_sheet,
    start_sheet,
    start_sheets,
    withdraw_rule,
)
from governance.verdicts.models import CountrySheet, SheetRule
from governance.verdicts.queries.countries import counts_by_country, is_stale, listed_countries, treaty_facts
from tests.factories import register

pytestmark = pytest.mark.django_db

TODAY = date(2026, 11, 25)
LAW = "invented rule, section 1"


def officer() -> object:
    return register.person(Role.COMPLIANCE)


def client_of(role: str = Role.COMPLIANCE) -> Client:
    client = Client()
    client.force_login(register.person(role))
    return client


def marks() -> list[tuple[str, int]]:
    return [(touch.scope, touch.key) for touch in Touch.objects.all()]


def rules_of(sheet: CountrySheet) -> list[tuple[bool, date | None, date | None, str]]:
    return [(rule.required, rule.from_on, rule.to_on, rule.source) for rule in sheet.rules.order_by("from_on")]


def test_a_started_sheet_holds_facts_and_no_rule() -> None:
    """Austria: Party to the Nagoya Protocol since 18 October 2018 (Austrian BGBl III 135/2018)."""
    sheet = start_sheet("AT", by=officer(), why="start", today=TODAY)
    assert "18 October 2018" in sheet.remarks and "BGBl III 135/2018" in sheet.remarks
    assert not sheet.rules.exists()
    assert marks() == [("country", sheet.pk)]


def test_what_is_from_memory_says_so() -> None:
    """Morocco's day stands in the data without a stored source: a belief, shown as one."""
    nagoya = next(fact for fact in treaty_facts("MA", TODAY) if "Nagoya" in fact.label)
    assert nagoya.from_memory
    assert "from memory" in start_sheet("MA", by=officer(), why="start", today=TODAY).remarks


def test_a_date_from_a_source_is_not_from_memory() -> None:
    assert not any(fact.from_memory for fact in treaty_facts("AT", TODAY))
    assert treaty_facts("AT", TODAY)[0].said == "Party since 18 October 2018"


def test_nothing_known_is_said_as_not_known() -> None:
    """Of Canada the source says that it was no Party until the end of 2018; nobody looked at later days."""
    said = treaty_facts("CA", TODAY)[0].said
    assert said == "No Party until 31 December 2018; nobody has looked for a later day"
    assert treaty_facts("", TODAY) == []


@pytest.mark.parametrize("code", ["XX", "Austria", "ZZ"])
def test_a_sheet_is_of_a_country(code: str) -> None:
    with pytest.raises(ValidationError):
        start_sheet(code, by=officer(), why="x", today=TODAY)


def test_a_country_has_one_sheet() -> None:
    register.sheet("GE")
    with pytest.raises(ValidationError):
        start_sheet("GE", by=officer(), why="x", today=TODAY)


def test_sheets_are_started_for_the_countries_of_the_material() -> None:
    register.sheet("SE")
    for country in ("GE", "SE", "NA", ""):
        register.specimen(event=register.event(country=country, country_code=country))
    started = start_sheets(by=officer(), why="start", today=TODAY)
    assert [sheet.country for sheet in started] == ["GE", "NA"]
    assert not SheetRule.objects.exists()
    assert start_sheets(by=officer(), why="again", today=TODAY) == []


def test_a_rule_needs_its_source() -> None:
    with pytest.raises(ValidationError, match=r"source.*cannot be blank"):
        add_rule(register.sheet(), by=officer(), why="x", layer=int(Layer.EXPORT), required=True, source="")


def test_two_rules_of_a_layer_hold_on_no_day_together() -> None:
    sheet = register.sheet()
    register.rule(sheet, from_on=date(2010, 1, 1), to_on=date(2019, 12, 31))
    with pytest.raises(ValidationError, match="from 1 January 2010 to 31 December 2019"):
        add_rule(sheet, by=officer(), why="x", layer=int(Layer.COLLECTING), required=False, source=LAW,
                 from_on=date(2019, 12, 31))  # fmt: skip
    add_rule(sheet, by=officer(), why="x", layer=int(Layer.COLLECTING), required=False, source=LAW,
             from_on=date(2020, 1, 1))  # fmt: skip
    assert sheet.rules.count() == 2
    assert marks() == [("country", sheet.pk)]


def test_a_changed_rule_is_two_dated_rules() -> None:
    """The new law begins on 1 January 2025: the old one holds until the day before, and both are there."""
    sheet = register.sheet()
    old = register.rule(sheet, from_on=date(2010, 1, 1))
    follow_rule(old, from_on=date(2025, 1, 1), by=officer(), why="new act", required=False, source="Act of 2024",
                lead_days=None)  # fmt: skip
    assert rules_of(sheet) == [
        (True, date(2010, 1, 1), date(2024, 12, 31), "invented rule, section 1"),
        (False, date(2025, 1, 1), None, "Act of 2024"),
    ]


def test_a_rule_is_not_followed_before_it_begins() -> None:
    old = register.rule(register.sheet(), from_on=date(2010, 1, 1))
    with pytest.raises(ValidationError, match="begins on 1 January 2010"):
        follow_rule(old, from_on=date(2010, 1, 1), by=officer(), why="x", required=False, source=LAW)
    old.refresh_from_db()
    assert old.to_on is None


def test_a_following_rule_without_source_changes_nothing() -> None:
    old = register.rule(register.sheet(), from_on=date(2010, 1, 1))
    with pytest.raises(ValidationError):
        follow_rule(old, from_on=date(2025, 1, 1), by=officer(), why="x", required=False, source="")
    old.refresh_from_db()
    assert old.to_on is None


def test_a_rule_ends_and_stays() -> None:
    rule = register.rule(register.sheet(), from_on=date(2010, 1, 1))
    end_rule(rule, last_day=date(2020, 6, 30), by=officer(), why="repealed")
    rule.refresh_from_db()
    assert rule.to_on == date(2020, 6, 30)
    assert rule.history.first().history_change_reason == "repealed"
    with pytest.raises(ValidationError, match="last day is before"):
        end_rule(rule, last_day=date(2009, 12, 31), by=officer(), why="x")


def test_a_corrected_source_is_no_other_rule() -> None:
    rule = register.rule(register.sheet())
    assert correct_rule(rule, by=officer(), why="typo", source="Act, section 2") == ["source"]
    assert SheetRule.objects.count() == 1


def test_a_withdrawn_rule_keeps_its_history() -> None:
    rule = register.rule(register.sheet())
    withdraw_rule(rule, by=officer(), why="never law")
    assert not SheetRule.objects.exists()
    assert SheetRule.history.filter(history_type="-").get().history_change_reason == "never law"


def test_a_sheet_is_stamped_with_who_and_when() -> None:
    sheet = register.sheet()
    stamp_sheet(sheet, checked_by="I. Holmqvist", checked_on=TODAY, by=officer(), why="checked")
    sheet.refresh_from_db()
    assert (sheet.checked_by, sheet.checked_on) == ("I. Holmqvist", TODAY)
    with pytest.raises(ValidationError, match="who checked"):
        stamp_sheet(sheet, checked_by="", checked_on=TODAY, by=officer(), why="x")


@pytest.mark.parametrize(
    ("checked_on", "stale"), [(date(2025, 11, 25), False), (date(2025, 11, 24), True), (None, True)]
)
def test_a_sheet_is_stale_after_a_year(checked_on: date | None, stale: bool) -> None:
    """365 days before 25 November 2026 is 25 November 2025, which is still within the year."""
    sheet = register.sheet("GE", checked_on=checked_on, checked_by="I. Holmqvist" if checked_on else "")
    assert is_stale(sheet, TODAY) is stale


def test_a_curator_edits_no_sheet() -> None:
    """A registrar does: in a small house nobody else knows the law of the countries it collects in."""
    with pytest.raises(NotAllowedError):
        change_sheet(register.sheet(), by=register.person(Role.CURATOR), why="x", authority="Desk")
    assert change_sheet(register.sheet("SE"), by=register.person(Role.REGISTRAR), why="x", authority="Desk")


def test_specimens_wait_where_no_sheet_says_anything() -> None:
    """VERDICTS, section 7: without a sheet no layer can be told (no-rule); a rule for each of the nine ends that."""
    register.specimen()
    admin = officer()
    assess(by=admin, why="first")
    assert counts_by_country()["GE"].waiting == 1
    everywhere = register.sheet("")
    for layer in Layer:
        register.rule(everywhere, layer=layer, required=False)
    assess(by=admin, why="again")
    assert (counts_by_country("GE")["GE"].specimens, counts_by_country("GE")["GE"].waiting) == (1, 0)


def test_the_list_tells_what_is_said_of_each_layer() -> None:
    everywhere, georgia = register.sheet(""), register.sheet("GE")
    register.rule(everywhere, layer=Layer.LAND)
    register.rule(georgia, layer=Layer.COLLECTING, required=True)
    register.rule(georgia, layer=Layer.EXPORT, required=False)
    register.rule(georgia, layer=Layer.ACCESS, from_on=date(2018, 1, 1))
    register.specimen(event=register.event(country="NA"))
    listed = {country.code: country for country in listed_countries(TODAY)}
    said = {mark.layer: mark.said for mark in listed["GE"].marks}
    assert said[Layer.LAND] == "everywhere"
    assert said[Layer.COLLECTING] == "required"
    assert said[Layer.EXPORT] == "not-required"
    assert said[Layer.ACCESS] == "dated"
    assert said[Layer.CITES] == "nothing"
    assert listed["NA"].sheet is None
    assert listed["NA"].ruled == 1  # land, by the sheet for everywhere


def test_the_list_and_its_queries(django_assert_num_queries: object) -> None:
    """Session, person, sheets, rules, countries of the material, counts: whatever the number of countries."""
    for country in ("GE", "SE", "NA", "CR"):
        register.rule(register.sheet(country))
    register.specimen(event=register.event(country="PE"))
    client = client_of(Role.AUDITOR)
    with django_assert_num_queries(6):  # type: ignore[operator]
        page = client.get(reverse("verdicts:countries")).content.decode()
    assert "Peru" in page and "no sheet" in page
    assert "1 country with material has no sheet." in page
    assert "4 sheets were not checked within a year." in page


def test_one_sheet_names_the_layers_without_a_rule() -> None:
    sheet = register.sheet("GE")
    for layer in Layer:
        if layer not in (Layer.CITES, Layer.TRANSFER):
            register.rule(sheet, layer=layer)
    page = " ".join(client_of().get(reverse("verdicts:country", args=[sheet.pk])).content.decode().split())
    assert "The sheet says nothing of CITES, Transfer." in page
    assert "Georgia" in page
    assert page.count("invented rule, section 1") == 7


def test_a_country_without_a_sheet_offers_to_start_it() -> None:
    client = client_of()
    page = client.get(reverse("verdicts:country-without-sheet", args=["pe"])).content.decode()
    assert "There is no sheet for this country." in page
    answer = client.post(reverse("verdicts:country-start"), {"country": "pe"})
    sheet = CountrySheet.objects.get(country="PE")
    assert answer.headers["Location"] == reverse("verdicts:country-rules-at-once", args=[sheet.pk])
    again = client.get(reverse("verdicts:country-without-sheet", args=["PE"]))
    assert again.headers["Location"] == reverse("verdicts:country", args=[sheet.pk])


def test_a_rule_is_added_and_followed_on_the_pages() -> None:
    client, sheet = client_of(), register.sheet("GE")
    address = reverse("verdicts:country-rule-new", args=[sheet.pk])
    told = client.post(address, {"layer": int(Layer.EXPORT), "required": "True"}).content.decode()
    assert "Nothing was saved yet" in told
    client.post(address, {"layer": int(Layer.EXPORT), "required": "True", "source": "Act 1", "from_on": "2010-01-01"})
    rule = sheet.rules.get()
    follow = reverse("verdicts:country-rule-follow", args=[rule.pk])
    told = client.post(follow, {"required": "False", "source": "Act 2", "from_on": "2009-01-01"}).content.decode()
    assert "begins on 1 January 2010" in told
    client.post(follow, {"required": "False", "source": "Act 2", "from_on": "2025-01-01"})
    assert rules_of(sheet) == [
        (True, date(2010, 1, 1), date(2024, 12, 31), "Act 1"),
        (False, date(2025, 1, 1), None, "Act 2"),
    ]


def test_a_rule_is_withdrawn_only_after_the_question() -> None:
    client, rule = client_of(), register.rule(register.sheet())
    address = reverse("verdicts:country-rule-withdraw", args=[rule.pk])
    assert "Remove this rule?" in client.get(address).content.decode()
    assert SheetRule.objects.exists()
    client.post(address)
    assert not SheetRule.objects.exists()


def test_a_stamp_without_a_day_is_refused_in_words() -> None:
    client, sheet = client_of(), register.sheet()
    answer = client.post(reverse("verdicts:country-stamp", args=[sheet.pk]), {"checked_by": "I"}, follow=True)
    assert "Nothing was saved" in answer.content.decode()


def test_all_rules_are_exported() -> None:
    register.rule(register.sheet("GE", authority="=Desk"), layer=Layer.EXPORT, from_on=date(2010, 1, 1))
    answer = client_of(Role.AUDITOR).get(reverse("verdicts:countries-export"))
    lines = answer.getvalue().decode("utf-8-sig").splitlines()
    assert lines[1] == 'GE,Georgia,Export,yes,2010-01-01,,"invented rule, section 1",,\'=Desk,,'


def test_what_is_no_country_has_no_page() -> None:
    assert client_of().get(reverse("verdicts:country-without-sheet", args=["ZZ"])).status_code == 404
