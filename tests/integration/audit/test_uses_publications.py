"""TRADE 7.4, question 18: which papers cite this material; is the acknowledgement right; were copies sent?"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from accessions.material.models import Specimen
from accessions.people.access import role_bits
from accessions.people.models import Role
from governance.papers.models import Paper, TermsReading
from governance.usedesk.models import MadeUse
from governance.usedesk.queries.acknowledging import acknowledgements
from tests.factories import duties, register, usedesk
from tests.integration.audit.put import column, links, put, told

pytestmark = pytest.mark.django_db

KEY = "publications"


def wants(paper: Paper, words: str, first: str = "2020-01-01") -> None:
    version = register.version(paper, first, None)
    TermsReading.objects.create(version=version, acknowledgement=words, read_by=register.person())


def published(*specimens: Specimen, on: date = date(2026, 3, 2), **values: Any) -> MadeUse:
    values = {"deed": "publication", "citation": "Ek (2026). Flies."} | values
    return usedesk.made_use(*specimens, on=on, **values)


def test_words_that_papers_want_and_copies_that_were_sent() -> None:
    """COL-1 wants other words from 1 March 2026 on, so that the two publications want different ones. COL-2 was not
    read, and bears on the extract by its parent. A photograph is no publication."""
    parent = register.specimen("S-1")
    extract = register.specimen("E-1", parent=parent, kind="part")
    changed, unread = register.paper("COL-1"), register.paper("COL-2")
    wants(changed, "Old words.")
    wants(changed, "New words.", "2026-03-01")
    register.version(unread, "2020-01-01", None)
    register.link(changed, specimen=parent)
    register.link(unread, specimen=parent)
    new = published(parent, acknowledged="yes", doi="10.1234/new")
    old = published(extract, on=date(2026, 2, 28), deed="data", acknowledged="no", citation="")
    other = published(register.specimen("OTHER"), on=date(2025, 1, 1))
    usedesk.made_use(parent, deed="imaging")
    duties.done_duty(kind="copy", use=new, done_on=date(2026, 4, 1))
    duties.done_duty(kind="copy", use=old)
    late = duties.duty(kind="copy", use=old, due_on=date(2026, 5, 1))
    found = put(KEY)
    assert column(found, "on", "what", "acknowledged", "words", "unread", "copies", "sent") == [
        (date(2026, 3, 2), "Published", "Yes", "COL-1: New words.", 1, "Done", date(2026, 4, 1)),
        (date(2026, 2, 28), "Data published", "No", "COL-1: Old words.", 1, "Late", None),
        (date(2025, 1, 1), "Published", "Nobody has looked", "", 0, "No duty entered", None),
    ]
    assert found.sentence == (
        "3 publications and sets of data are on record. 1 acknowledges the source as papers ask. 1 does not. Of 1 "
        "nobody has looked at the acknowledgement. Of 1 copies were sent. Of 1 copies are still to be sent."
    )
    assert [one.count for one in found.missing] == [1]
    assert links(found, "copies")[1] == f"/duties/{late.pk}/"
    assert column(put(KEY, specimen="S-1"), "specimens") == [1, 1], "what was taken from it belongs to it"
    assert column(put(KEY, specimen="E-1"), "entry") == [str(old)]
    for made in (new, old, other):
        one = acknowledgements(made, register.person(Role.REGISTRAR))
        (row,) = [row for row in column(found, "entry", "words", "unread") if row[0] == str(made)]
        assert row[1:] == (" ".join(f"{line.paper.reference}: {line.words}" for line in one.lines), one.unread)


def test_a_duty_that_was_waived_sent_no_copy() -> None:
    by = register.person()
    waived = {
        "waived_on": date(2026, 4, 1),
        "waived_at": timezone.now(),
        "waived_by": by,
        "waived_why": "The publisher sends them.",
    }
    duties.duty(kind="copy", use=published(register.specimen()), **waived)
    sentence = put(KEY).sentence
    assert "Of 1 the duty to send copies was waived." in sentence and "were sent" not in sentence


def test_words_of_a_restricted_paper_stay_with_its_readers() -> None:
    specimen, paper = register.specimen(), register.paper("CLOSED")
    wants(paper, "Zzwords.")
    register.link(paper, specimen=specimen)
    duties.duty(kind="copy", paper=paper, use=published(specimen), what="Zzduty")
    Paper.objects.update(restricted_to=role_bits([Role.REGISTRAR]), restricted_why="a secret")
    found = put(KEY, Role.AUDITOR)
    assert "Zzwords." in told(put(KEY)) and "Zz" not in told(found)
    assert column(found, "words") == ["CLOSED: Restricted: open to registrars. Ask one of them."]
    assert found.kept_back == ("The words that 1 paper on file wants in print are for its readers.",)


@pytest.mark.parametrize("count", [1, 4])
def test_queries_whatever_the_number(count: int, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    register.person(Role.REGISTRAR)
    for number in range(count):
        specimen, paper = register.specimen(), register.paper(f"P-{number}")
        wants(paper, "Words.")
        register.link(paper, specimen=specimen)
        duties.duty(kind="copy", use=published(specimen), paper=paper)
    with django_assert_num_queries(23):
        assert len(column(put(KEY), "entry")) == count
