"""The exchange label against CITES Article VII(6) and the register of scientific institutions.

Sources: Article VII(6), as quoted in Resolution Conf. 11.15 (Rev. CoP12), cites.org: non-commercial loan, donation or
exchange; scientists or institutions registered by a Management Authority of their State; herbarium specimens, other
preserved, dried or embedded museum specimens, live plant material; a label issued or approved by a Management
Authority. The resolution: legally acquired. Register numbers: two-letter ISO country code and a number given by the
national authority (cites.org); in the European Union two letters and three digits (Regulation (EC) 865/2006, Art. 52).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from itertools import product

import pytest

from governance.engine.uses import Tri
from governance.usedesk.exchange import conditions, label_holds, number_form, plain_number


@dataclass
class Seen:
    """A label on which everything was seen to hold."""

    non_commercial: str = "yes"
    sender_code: str = "SE 007"
    recipient_code: str = "IS 002"
    preserved: str = "museum"
    label_by_authority: str = "yes"
    legally_acquired: str = "yes"
    evidence: str = "Permit COL-2019-004"


@dataclass
class Side:
    country: str
    cites_code: str
    cites_checked_on: date | None = date(2026, 11, 2)


HOUSE, THERE = Side("SE", "SE 007"), Side("IS", "IS 002")


def holds(label: Seen | None, house: Side | None = HOUSE, there: Side | None = THERE, commercial: str = "no") -> Tri:
    return label_holds(label, sender=house, recipient=there, commercial=commercial)


def met(label: Seen | None, house: Side | None = HOUSE, there: Side | None = THERE, commercial: str = "") -> list[Tri]:
    return [one.met for one in conditions(label, sender=house, recipient=there, commercial=commercial)]


def words(label: Seen, house: Side = HOUSE, there: Side = THERE) -> str:
    return "\n".join(line for one in conditions(label, sender=house, recipient=there) for line in one.words)


def test_all_five_hold() -> None:
    assert met(Seen()) == [Tri.YES] * 5
    assert holds(Seen()) == Tri.YES


def test_without_a_label_nothing_is_told() -> None:
    assert met(None) == [Tri.NOT_TOLD] * 5
    assert holds(None, house=None, there=None) == Tri.NOT_TOLD


TOLD = {"yes": Tri.YES, "no": Tri.NO, "": Tri.NOT_TOLD}


@pytest.mark.parametrize(("commercial", "label", "lawful"), list(product(TOLD, repeat=3)))
def test_one_that_is_not_yes_is_enough(commercial: str, label: str, lawful: str) -> None:
    """The truth table of the three conditions that people tell; a label counts in one row of 27."""
    seen = Seen(non_commercial=commercial, label_by_authority=label, legally_acquired=lawful)
    told = [TOLD[commercial], Tri.YES, Tri.YES, TOLD[label], TOLD[lawful]]
    assert met(seen) == told
    expected = Tri.NO if Tri.NO in told else Tri.NOT_TOLD if Tri.NOT_TOLD in told else Tri.YES
    assert holds(seen) == expected


@pytest.mark.parametrize(
    ("kind", "expected"),
    [("herbarium", Tri.YES), ("museum", Tri.YES), ("live-plants", Tri.YES), ("other", Tri.NO), ("", Tri.NOT_TOLD)],
)
def test_kinds_are_those_of_the_article(kind: str, expected: Tri) -> None:
    assert met(Seen(preserved=kind))[2] == expected


def test_a_commercial_request_outweighs_the_label() -> None:
    assert met(Seen(), commercial="yes")[0] == Tri.NO


def test_legally_acquired_needs_what_shows_it() -> None:
    assert met(replace(Seen(), evidence=" "))[4] == Tri.NOT_TOLD


# Numbers of the register


@pytest.mark.parametrize("number", ["SE 007", "SE007", "se-007", " SE.007 "])
def test_spellings_of_one_number(number: str) -> None:
    assert plain_number(number) == "SE007"
    assert number_form(number, "SE") == (Tri.YES, "")


@pytest.mark.parametrize(
    ("number", "country", "expected"),
    [
        ("SE 007", "SE", Tri.YES),  # five characters, two letters, three digits: Art. 52
        ("SE 07", "SE", Tri.NOT_TOLD),  # a digit short
        ("SE 0071", "SE", Tri.NOT_TOLD),  # a digit too many
        ("SE 007A", "SE", Tri.NOT_TOLD),
        ("IS 2", "IS", Tri.YES),  # outside the Union the authority chooses the number
        ("IS 00213", "IS", Tri.YES),
        ("US 083(P)", "US", Tri.YES),  # letter at the end: from memory
        ("IS 002", "SE", Tri.NO),  # another State's number
        ("SE 007", "IS", Tri.NO),
        ("DK 003", "GL", Tri.YES),  # Greenland lies under Denmark
        ("GL 003", "DK", Tri.NO),
        ("XX 001", "SE", Tri.NOT_TOLD),  # no country of ISO 3166-1
        ("007", "SE", Tri.NOT_TOLD),
        ("SE", "SE", Tri.NOT_TOLD),
        ("S\u0395 007", "SE", Tri.NOT_TOLD),  # a Greek capital epsilon
        ("SE \u0660\u0660\u0667", "SE", Tri.NOT_TOLD),  # Arabic-Indic digits
        ("SE 007", "", Tri.NOT_TOLD),  # the country of the institution is not on file
    ],
)
def test_form_of_a_number(number: str, country: str, expected: Tri) -> None:
    told, said = number_form(number, country)
    assert told == expected
    assert (said == "") == (expected == Tri.YES)


def test_the_code_of_another_country_is_a_finding() -> None:
    label = Seen(recipient_code="NO 012")
    assert met(label)[1] == Tri.NO
    assert "NO 012 is a number of Norway; the institution is in Iceland" in words(label)


@pytest.mark.parametrize(
    ("label", "house", "there", "expected"),
    [
        (Seen(sender_code=""), HOUSE, THERE, Tri.NOT_TOLD),
        (Seen(recipient_code=""), HOUSE, THERE, Tri.NOT_TOLD),
        (Seen(), Side("SE", ""), THERE, Tri.NOT_TOLD),  # the house has no number on file
        (Seen(), Side("SE", "SE 008"), THERE, Tri.NOT_TOLD),  # label and file differ: one is wrong
        (Seen(), HOUSE, Side("IS", "IS 002", None), Tri.NOT_TOLD),  # nobody looked into the register
        (Seen(), HOUSE, Side("IS", ""), Tri.NO),  # looked up, and not there
        (Seen(), HOUSE, Side("IS", "", None), Tri.NOT_TOLD),
        (Seen(), HOUSE, Side("", "IS 002"), Tri.NOT_TOLD),
    ],
)
def test_both_sides_are_registered(label: Seen, house: Side, there: Side, expected: Tri) -> None:
    assert met(label, house, there)[1] == expected
    assert holds(label, house, there) != Tri.YES
