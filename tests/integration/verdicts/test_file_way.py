"""The way for the material of an accession: who is asked, and how the days stand to cut-offs. It decides nothing."""

from __future__ import annotations

from datetime import date
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from django.test import Client
from django.urls import reverse

from accessions.material.models import Accession, Specimen
from accessions.people.models import Role
from governance.engine.tables import Layer, Verdict
from governance.verdicts.models import LayerDecision
from governance.verdicts.queries.file_material import Lot, RowKey
from governance.verdicts.queries.file_way import splits, way_of
from governance.verdicts.queries.legal_file import legal_file
from tests.factories import register, verdicts

pytestmark = pytest.mark.django_db

MISSING_ACCESS = "".join(
    str(int(Verdict.MISSING if layer is Layer.ACCESS else Verdict.NOT_REQUIRED)) for layer in Layer
)


def way(accession: Accession):
    return way_of(legal_file(accession, register.person()))


def page_of(accession: Accession, role: str = Role.REGISTRAR) -> str:
    client = Client()
    client.force_login(register.person(role))
    return " ".join(client.get(reverse("verdicts:legal-file", args=[accession.pk])).content.decode().split())


def legacy_specimen(accession: Accession, day: str, **fields: Any) -> Specimen:
    made = register.specimen(accession=accession, event=register.event(day=day), **fields)
    verdicts.judged(made, MISSING_ACCESS)
    return made


@pytest.mark.parametrize(
    ("first", "last", "counted"),
    [
        (date(2014, 10, 11), date(2014, 10, 11), (1, 0, 0)),
        (date(2014, 10, 12), date(2014, 10, 12), (0, 1, 0)),
        (date(2014, 10, 13), date(2014, 10, 13), (0, 1, 0)),
        (date(2014, 10, 1), date(2014, 10, 11), (1, 0, 0)),
        (date(2014, 10, 11), date(2014, 10, 12), (0, 0, 1)),
        (date(2014, 10, 1), None, (0, 0, 1)),
        (None, date(2014, 10, 11), (1, 0, 0)),
        (None, date(2014, 10, 12), (0, 0, 1)),
        (None, None, (0, 0, 1)),
    ],
)
def test_the_day_before_the_day_and_the_day_after(first: date | None, last: date | None, counted: tuple) -> None:
    """The Nagoya Protocol is in force from 12 October 2014 on (Art. 33(1)); a run over the day cannot be told."""
    row = RowKey("part", 7)
    found = splits([Lot(7, None, 1, "", None, "", first, last, "", 1)], [row])
    _cut_off, split = found[row, "nagoya-in-force"]
    assert (split.before, split.since, split.cannot_tell) == counted
    assert split.all == 1


def test_a_part_from_before_a_cut_off_says_so_and_is_offered_for_a_decision() -> None:
    accession = register.accession()
    old, young = register.part(accession, "A"), register.part(accession, "B")
    for day in ("2014-10-10", "2014-10-11"):
        legacy_specimen(accession, day, part=old)
    legacy_specimen(accession, "2014-10-12", part=young)
    lines = {(line.row.label, line.cut_off.code): line for line in way(accession).legacy}
    assert ("Part B", "nagoya-in-force") not in lines
    line = lines["Part A", "nagoya-in-force"]
    assert line.words == ("All 2 specimens of part A were collected before 12 October 2014 (Nagoya Protocol in force).")
    asked = parse_qs(urlsplit(line.decide).query)
    assert urlsplit(line.decide).path == reverse("verdicts:decision-new", args=[accession.pk, "access"])
    assert asked["part"] == [str(old.pk)]
    assert asked["reason"] == [f"{line.words} Older law of the country: not looked at."]
    assert asked["evidence"] == [line.cut_off.source]
    assert lines["Part A", "eu-user-duties"].decide == "", "what is from memory decides nothing"
    assert not LayerDecision.objects.exists(), "nothing is decided by looking"


def test_the_decision_is_a_person_s(client: Client) -> None:
    """The form comes filled; a registrar confirms it, a curator is not offered it and may not."""
    accession = register.accession()
    legacy_specimen(accession, "1990-05-01")
    line = next(line for line in way(accession).legacy if line.cut_off.code == "nagoya-in-force")
    assert "Propose “not required”" in page_of(accession)
    assert "Propose “not required”" not in page_of(accession, Role.CURATOR)
    client.force_login(register.person(Role.REGISTRAR))
    form = client.get(line.decide).content.decode()
    assert "The one specimen was collected before 12 October 2014" in form
    client.force_login(register.person(Role.CURATOR))
    assert client.get(line.decide).status_code == 403


def test_nothing_is_offered_for_mixed_material_or_what_is_settled() -> None:
    """Of three, one was taken later and one has no day; and a layer that needs no look is not proposed."""
    accession = register.accession()
    legacy_specimen(accession, "1990-05-01")
    legacy_specimen(accession, "2020-05-01")
    legacy_specimen(accession, "")
    found = way(accession)
    line = next(line for line in found.legacy if line.cut_off.code == "nagoya-in-force")
    assert line.words == "1 of 3 specimens was collected before 12 October 2014 (Nagoya Protocol in force)."
    assert (line.split.before, line.split.since, line.split.cannot_tell, line.decide) == (1, 1, 1, "")
    assert found.undated == 1
    assert "1 specimen has no day that could be read" in page_of(accession)
    settled = register.accession("LMN-X")
    verdicts.judged(register.specimen(accession=settled, event=register.event(day="1990-05-01")))
    assert {line.decide for line in way(settled).legacy} == {""}


@pytest.mark.parametrize("kind", ["gift", "bequest", "exchange", "purchase", "transfer", "deposit"])
def test_whoever_gave_it_is_asked(kind: str) -> None:
    accession = register.accession(kind=kind, source=register.agent("O. Rask"))
    assert len(way(accession).ask) == 4
    page = page_of(accession)
    assert "To ask of" in page
    assert "O. Rask" in page
    assert "Record what asking came to" in page
    assert "Record what asking came to" not in page_of(accession, Role.VOLUNTEER)


def test_what_was_found_or_is_not_known_looks_neither_bad_nor_fine() -> None:
    found, unknown = register.accession("F-1", kind="found"), register.accession("U-1", kind="unknown")
    assert "Not known is no answer of its own" in page_of(found)
    assert "How this accession came is not recorded" in page_of(unknown)
    field = register.accession("C-1", kind="field")
    assert not way(field).has_anything
    assert "The way for this material" not in page_of(field)
