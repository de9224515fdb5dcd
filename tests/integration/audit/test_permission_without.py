"""TRADE 7.4, question 2: all specimens with no permission linked, by accession and year.

Verdicts are those of a real assessment; what it must come to is told by VERDICTS beside each expectation.
"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from pytest_django import DjangoAssertNumQueries

from accessions.people.models import Role
from governance.audit.asking import UnknownValueError
from governance.papers.models import Paper, TitleRecord
from governance.verdicts.actions.assessing import assess
from tests.factories import register
from tests.integration.audit.put import column, put
from tests.integration.test_access_sweep import files_of_the_module, files_of_the_test, kept

__all__ = ["files_of_the_module", "files_of_the_test", "kept"]

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def register_of_links(kept: None) -> None:
    """Seven specimens of which four are linked to a permit: by accession, by event, by site, by part."""
    register.rule(register.sheet())
    permit = register.paper()
    register.version(permit, None, None)
    made = {number: register.accession(number, title=f"Journey {number}") for number in ("A", "B", "C", "D", "E")}
    site, part = register.site(), register.part(made["E"])
    known, spanning = register.event("7", "2023-05-02"), {"earliest_on": date(2022, 12, 30), "reading": "run"}
    night = register.event("8", "2023-01-02", event_date="2022-12-30/2023-01-02", **spanning)
    register.specimen("LMN-1", accession=made["A"])
    register.specimen("LMN-2", accession=made["B"], event=known)
    register.specimen("LMN-3", accession=made["B"], event=night)
    register.specimen("LMN-4", accession=made["C"], event=register.event("9", "2021-06-01", site=site))
    register.specimen("LMN-5", accession=made["D"], event=register.event("7", "2020-05-01"))
    register.specimen("LMN-6", accession=made["E"], part=part, event=register.event("10", "2019-07-01"))
    register.specimen("LMN-7", accession=made["E"], event=register.event("11", day=""))
    TitleRecord.objects.create(accession=made["D"], kind="gift", paper=permit)
    register.link(permit, accession=made["A"])
    register.link(permit, event=known)
    register.link(permit, site=site)
    register.link(permit, part=part)
    assess(by=None, why="first")


@pytest.fixture
def linked(register_of_links: None, db: None) -> None:
    """Made once for all tests."""


WITHOUT = [("B", "2022–2023", 1, 2), ("D", "2020", 1, 1), ("E", "not known", 1, 2)]
"""LMN-3; LMN-5, whose event has the number of the linked one and is known from another accession, and whose record of
title permits nothing; LMN-7, which is in no part."""


def test_without_any_paper_as_the_engine_finds_it(linked: None) -> None:
    """All papers serve the layer that the country asks for, so that what the engine calls missing (VERDICTS 7.2) is
    what no paper is linked to: two ways to one answer."""
    by_links, by_verdicts = put("without-paper"), put("without-paper", layer="collecting")
    columns = ("accession", "year", "specimens", "of")
    assert column(by_links, *columns) == column(by_verdicts, *columns) == WITHOUT
    assert by_links.sentence == "3 specimens in 3 accessions have no paper linked."
    assert by_verdicts.sentence == "3 specimens in 3 accessions lack a paper for the layer Collecting."
    assert by_links.total == 3


def test_without_paper_in_an_accession_or_country(linked: None) -> None:
    assert put("without-paper", accession="B").sentence == "1 specimen of accession B has no paper linked."
    assert put("without-paper", country="SE").count == 0
    assert put("without-paper", layer="land").sentence == "No specimen lacks a paper for the layer Land."


def test_a_paper_for_every_accession_leaves_none(linked: None) -> None:
    register.link(Paper.objects.get(), all_accessions=True)
    register.specimen("LMN-8", accession=register.accession("F"))
    answer = put("without-paper")
    assert answer.sentence == "Every specimen that was checked has a paper linked to it."
    assert [one.count for one in answer.missing] == [1]  # LMN-8 was not judged yet


@pytest.mark.parametrize("told_of", [{"accession": "Z"}, {"country": "XX"}, {"layer": "soil"}])
def test_unknown_narrowing(told_of: dict[str, Any]) -> None:
    with pytest.raises(UnknownValueError) as raised:
        put("without-paper", **told_of)
    assert [raised.value.parameter] == list(told_of)


def test_queries_do_not_grow_with_material(linked: None, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    register.person(Role.REGISTRAR)
    with django_assert_num_queries(17):
        put("without-paper")
    for number in range(4):
        register.specimen(f"LMN-2{number}", accession=register.accession(f"G{number}"))
    assess(by=None, why="more")
    with django_assert_num_queries(17):
        assert len(put("without-paper").rows) == 7
