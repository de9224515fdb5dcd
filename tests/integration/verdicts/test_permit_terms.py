"""Permit terms from the register: on the page of a specimen and as permits.csv. The terms themselves: ``test_ggbn``."""

from __future__ import annotations

import csv
import io
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from accessions.material.models import Specimen
from accessions.people.models import Role
from governance.engine.tables import Layer, SearchState
from governance.papers.models import Condition, Paper
from governance.verdicts.actions import assess
from governance.verdicts.models import Override, Search
from governance.verdicts.queries.permit_terms import permit_rows, terms_of, terms_of_page
from governance.verdicts.queries.specimen_page import page_specimen, specimen_page
from tests.factories import register
from tests.factories import verdicts as made

pytestmark = pytest.mark.django_db


@pytest.fixture
def world() -> dict[str, Any]:
    """Collecting is required in Georgia and covered; land is not required by a rule; the other layers have no rule."""
    sheet = register.sheet("GE")
    register.rule(sheet, Layer.COLLECTING)
    register.rule(sheet, Layer.LAND, required=False, source="Land act, par. 4")
    accession = register.accession()
    specimen = register.specimen("LMN-1", accession=accession, event=register.event(day="2024-06-17"))
    paper = register.paper(kind="collecting-permit", issuer="Nazvri Directorate")
    Condition.objects.create(version=register.version(paper), text="Report by December.")
    register.link(paper, specimen=specimen)
    return {"accession": accession, "specimen": specimen, "paper": paper}


def terms(specimen: Specimen) -> list[tuple[str, ...]]:
    assess(by=None, why="test")
    (found,) = terms_of([specimen.pk])
    page = page_specimen(specimen.pk)
    assert page is not None
    assert terms_of_page(specimen_page(page)) == found.terms, "the page and the file say the same"
    return [told.cells for told in found.terms]


def of_layer(specimen: Specimen, layer: str) -> tuple[str, ...]:
    return next(row for row in terms(specimen) if layer in row[2].split(":")[0].split(", "))


def test_covered_and_not_required(world: dict[str, Any]) -> None:
    assert terms(world["specimen"])[:2] == [
        ("Collecting Permit", "Permit available", "collecting",
         "COL-2024-052, Nazvri Directorate, valid 2024-05-01 to 2024-06-30; Report by December.", ""),
        ("Other", "Permit not required",
         "land: no requirement for a permit at date of access, by the rules on file: Land act, par. 4", "", ""),
    ]  # fmt: skip


def test_a_restricted_paper_gives_no_text(world: dict[str, Any]) -> None:
    """Whoever asks: what goes to the outside does not depend on who sends it."""
    Paper.objects.filter(pk=world["paper"].pk).update(restricted_to=1, restricted_why="names of a community",
                                                      second_number="https://example.org/p/1")  # fmt: skip
    assert terms(world["specimen"])[0] == ("Collecting Permit", "Permit available", "collecting", "", "")


def test_a_number_that_is_an_address_is_the_uri(world: dict[str, Any]) -> None:
    Paper.objects.filter(pk=world["paper"].pk).update(second_number="https://example.org/p/1")
    assert terms(world["specimen"])[0][4] == "https://example.org/p/1"


def test_a_search_settles_what_cannot_be_unknown(world: dict[str, Any]) -> None:
    """Access, of which no sheet speaks: blank before the search, not available after it."""
    assert of_layer(world["specimen"], "access")[1] == ""
    Search.objects.create(accession=world["accession"], layer=int(Layer.ACCESS), state=int(SearchState.NONE_FOUND),
                          searched_on="2025-05-03", searched_by="I. Holmqvist")  # fmt: skip
    assert of_layer(world["specimen"], "access")[1:3] == (
        "Permit not available", "access: no permit located after search of 2025-05-03 by I. Holmqvist",
    )  # fmt: skip


def test_of_an_old_specimen_unknown_is_said(world: dict[str, Any]) -> None:
    old = register.specimen("LMN-2", accession=world["accession"], event=register.event(day="2014-10-12"))
    assert of_layer(old, "access")[1] == "Unknown"
    after = register.specimen("LMN-3", accession=world["accession"], event=register.event(day="2014-10-13"))
    assert of_layer(after, "access")[1] == ""


def test_a_decision_is_its_reason(world: dict[str, Any]) -> None:
    made.decision(world["accession"], Layer.ACCESS, reason="Taken before the country joined.")
    assert of_layer(world["specimen"], "access")[1:3] == (
        "Permit not required", "access: Taken before the country joined.",
    )  # fmt: skip


def test_only_the_rule_that_speaks_is_named(world: dict[str, Any]) -> None:
    """A rule of the country wins over one for everywhere (the contract, section 7.1), also where both agree."""
    register.rule(register.sheet(""), Layer.LAND, required=False, source="House custom")
    assert of_layer(world["specimen"], "land")[2].endswith("by the rules on file: Land act, par. 4")


def test_a_decision_that_is_withdrawn_is_no_rule(world: dict[str, Any]) -> None:
    """Until the next assessment the verdict stands, and what it rested on is gone: no rule is named for it."""
    decision = made.decision(world["accession"], Layer.ACCESS, reason="Taken before the country joined.")
    assess(by=None, why="test")
    decision.withdrawn_at, decision.withdrawn_by = timezone.now(), register.person(Role.COMPLIANCE)
    decision.save()
    (found,) = terms_of([world["specimen"].pk])
    (access,) = [told.cells for told in found.terms if told.cells[2].startswith("access:")]
    assert access[2] == "access: not required when last judged; what that rested on is no longer on file"


def test_a_search_of_another_part_says_nothing(world: dict[str, Any]) -> None:
    part = register.part(world["accession"])
    Search.objects.create(accession=world["accession"], part=part, layer=int(Layer.ACCESS),
                          state=int(SearchState.NONE_FOUND), searched_on="2025-05-03", searched_by="N. Ek")  # fmt: skip
    assert of_layer(world["specimen"], "access")[1] == ""


def test_a_decision_beside_a_verdict_makes_no_permit(world: dict[str, Any]) -> None:
    """Decided "covered" without a paper stays what it was; decided "outside" takes the permit away."""
    by, specimen = register.person(Role.COMPLIANCE), world["specimen"]
    assess(by=None, why="test")
    for layer, computed, decided in ((Layer.ACCESS, 2, 0), (Layer.COLLECTING, 0, 4)):
        Override.objects.create(specimen=specimen, layer=int(layer), computed=computed, decided=decided,
                                reason="a test of it", decided_by=by)  # fmt: skip
    assert of_layer(specimen, "access")[1] == ""
    assert of_layer(specimen, "collecting")[1:3] == (
        "Permit not available", "collecting: a permit on file, COL-2024-052, does not cover it",
    )  # fmt: skip


def test_not_assessed_says_nothing(world: dict[str, Any]) -> None:
    (found,) = terms_of([world["specimen"].pk])
    assert found.terms == []


def test_page_and_file(client: Client, world: dict[str, Any]) -> None:
    assess(by=None, why="test")
    client.force_login(register.person(Role.CURATOR))
    page = client.get(reverse("verdicts:specimen", args=[world["specimen"].pk])).content.decode()
    assert "Permit terms for the outside" in page
    assert "not to be given yet" in page
    (address,) = {part.split('"')[0] for part in page.split('href="') if "permits.csv" in part.split('"')[0]}
    answer = client.get(address.replace("&amp;", "&"))
    assert answer["Content-Disposition"] == 'attachment; filename="permits.csv"'
    text = b"".join(answer).decode("utf-8-sig")  # type: ignore[arg-type]
    rows = list(csv.DictReader(io.StringIO(text)))
    assert list(rows[0]) == ["catalogNumber", "permitType", "permitStatus", "permitStatusQualifier", "permitText",
                             "permitURI"]  # fmt: skip
    assert {row["catalogNumber"] for row in rows} == {"LMN-1"}
    assert rows[0]["permitStatus"] == "Permit available"


def test_queries_do_not_grow_with_the_list(world: dict[str, Any], django_assert_num_queries: Any) -> None:
    others = [register.specimen(f"LMN-{n}", accession=world["accession"]) for n in range(10, 15)]
    assess(by=None, why="test")
    keys = [world["specimen"].pk, *(other.pk for other in others)]
    with django_assert_num_queries(11):
        assert len({row[0] for row in permit_rows(keys)}) == 6
