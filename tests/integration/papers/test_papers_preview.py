"""The preview of a paper says what its verdicts would be, and leaves nothing behind."""

from __future__ import annotations

import re

import pytest
from django.test import Client
from django.urls import reverse

from accessions.material.models import Touch
from accessions.people.models import Role
from governance.papers import actions
from governance.papers.models import Paper, PaperLink
from governance.papers.queries import exchange_object
from governance.verdicts.actions.paper_preview import preview
from tests.factories import register as r
from tests.factories.paper_objects import paper_object
from tests.integration.papers.test_papers_pages import sent_by, the_form, words

pytestmark = pytest.mark.django_db


@pytest.fixture
def client() -> Client:
    """With four specimens in one accession: one before, one on the first and one on the last day of May, one after."""
    client = Client()
    client.force_login(r.person(Role.REGISTRAR))
    for day in ("2024-04-30", "2024-05-01", "2024-05-31", "2024-06-01"):
        r.specimen(event=r.event(day=day))
    return client


TERMS = {"jurisdiction": "Georgia (GE)", "in_force_from": "2024-05-01", "in_force_to": "2024-05-31",
         "places-0-name": "Georgia", "accessions": "LMN-2024-038"}  # fmt: skip


def rows(page: str) -> list[str]:
    """The rows of the table of counts."""
    body = re.findall(r"<tr><th scope=\"row\">.*?</tr>", page, re.S)
    return [" ".join(re.sub(r"<[^>]+>", " ", row).split()) for row in body]


def test_a_paper_that_is_being_written(client: Client) -> None:
    answer = client.post(reverse("verdicts:paper-preview"), the_form(**TERMS))
    assert answer.status_code == 200
    assert "4 specimens are linked." in words(answer)
    assert rows(answer.content.decode()) == ["Collecting Covered 2", "Collecting Outside terms 2"]
    assert "Before the start date 1" in words(answer)
    assert "After the end date 1" in words(answer)


def test_nothing_of_a_preview_stays(client: Client) -> None:
    client.post(reverse("verdicts:paper-preview"), the_form(**TERMS))
    counts = (Paper, PaperLink, Touch, Paper.history.model)
    assert [model.objects.count() for model in counts] == [0, 0, 0, 0]


def test_a_version_that_is_being_corrected(client: Client) -> None:
    by = r.person(Role.REGISTRAR)
    data = paper_object(versions=[{"in_force_from": "2024-05-01", "in_force_to": "2024-05-31",
                                   "places": {"include": [{"country": "GE"}]}}])  # fmt: skip
    accession = r.Accession.objects.get()
    paper = actions.register(data=data, by=by, why="x", targets=actions.Targets(accessions=[accession.pk]))
    version = paper.versions.get()
    sent = sent_by(client.get(reverse("papers:version-edit", args=[paper.pk, version.pk])))
    address = reverse("verdicts:paper-preview-correction", args=[paper.pk, version.pk])

    answer = client.post(address, sent | {"in_force_to": "2024-06-01"})

    assert rows(answer.content.decode()) == ["Collecting Covered 3", "Collecting Outside terms 1"]
    assert exchange_object(paper)["versions"][0]["in_force_to"] == "2024-05-31"


def test_mistakes_are_told_instead(client: Client) -> None:
    answer = client.post(reverse("verdicts:paper-preview"), the_form(kind="", in_force_from="never"))
    assert answer.status_code == 422
    assert "Nothing was saved yet" in words(answer)


def test_an_unread_paper_and_one_without_links(client: Client) -> None:
    unread = words(client.post(reverse("verdicts:paper-preview"), the_form(accessions="LMN-2024-038")))
    assert "the paper would be kept as not read" in unread
    assert "Collecting Cannot tell 4" in unread
    assert "It is linked to no specimen" in words(client.post(reverse("verdicts:paper-preview"), the_form()))


def test_an_event_goes_by_its_number_as_in_an_assessment() -> None:
    """Two records state event E9 differently: two rows, one event. A preview of one row alone would count half."""
    first = r.event("E9")
    r.specimen(event=first)
    r.specimen(event=r.event("E9", recorded_by="A. Lind"))
    by = r.person(Role.REGISTRAR)
    found = preview(
        lambda: actions.register(data=paper_object(), by=by, why="x", targets=actions.Targets(events=[first.pk]))
    )
    assert found.specimens == 2


def test_who_only_reads_gets_no_preview() -> None:
    client = Client()
    client.force_login(r.person(Role.AUDITOR))
    assert client.post(reverse("verdicts:paper-preview"), the_form()).status_code == 403


def test_a_paper_of_every_accession_is_tried_or_said_to_be_too_much(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    by = r.person(Role.REGISTRAR)

    def change() -> Paper:
        paper = actions.register(data=paper_object(), by=by, why="tried")
        actions.link(paper=paper, targets=actions.Targets(all_accessions=True), by=by, why="tried")
        return paper

    assert preview(change).specimens == 4
    monkeypatch.setattr("governance.verdicts.actions.paper_preview.MOST_SPECIMENS", 3)
    told = preview(change)
    assert (told.is_too_many, told.counts) == (True, ())
    assert not Paper.objects.exists()
