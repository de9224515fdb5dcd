"""A paper linked to many accessions: everything that is wrong at once, a look first, then all or nothing."""

from __future__ import annotations

import pytest
from django.db import DatabaseError
from django.test import Client
from django.urls import reverse

from accessions.material.models import Touch
from accessions.people.models import Role
from governance.engine.tables import Layer
from governance.papers.models import PaperLink
from governance.verdicts.actions import bulk_attaching
from governance.verdicts.queries.bulk_attaching import bulk_preview
from tests.factories import register, verdicts

pytestmark = pytest.mark.django_db

ADDRESS = "verdicts:legal-file-bulk"


@pytest.fixture
def client() -> Client:
    client = Client()
    client.force_login(register.person())
    return client


def send(client: Client, **data: str):
    return client.post(reverse(ADDRESS), data)


def test_all_that_is_wrong_is_said_at_once(client: Client) -> None:
    register.accession("LMN-1")
    answer = send(client, paper="P-0", accessions="LMN-1\nLMN-2\n\nLMN-3")
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "No paper has the reference “P-0”" in page
    assert "No accession has these numbers: LMN-2, LMN-3." in page
    assert "LMN-2" in page.split("<textarea")[1], "what was typed is still there"
    answer = send(client, paper="P-0", accessions=" \n ")
    assert answer.status_code == 422
    numbers = "\n".join(f"X-{n}" for n in range(2001))
    assert "2001 numbers, at most 2000 at once" in send(client, paper="P-0", accessions=numbers).content.decode()


def test_it_is_shown_before_it_is_done(client: Client) -> None:
    """By hand: of three accessions one is linked already; the two others hold two specimens and one."""
    paper = register.paper("P-1")
    one, two, three = (register.accession(f"LMN-{n}") for n in (1, 2, 3))
    for accession, number in ((one, 2), (two, 1), (three, 4)):
        for _n in range(number):
            register.specimen(accession=accession)
    verdicts.judged(one.specimens.earliest("pk"), "511111111")
    register.link(paper, accession=three)
    answer = send(client, paper="p-1", accessions="LMN-3\nlmn-1\nLMN-2\nLMN-1")
    page = " ".join(answer.content.decode().split())
    assert "<b>2 accessions will be linked</b>, with 3 specimens. 1 is linked already and stays so." in page
    preview = bulk_preview(paper, [one, two, three])
    assert [(line.specimens, line.open, line.is_linked) for line in preview.lines] == [
        (2, 1, False), (1, 0, False), (4, 0, True),
    ]  # fmt: skip
    assert PaperLink.objects.count() == 1, "nothing is done yet"
    numbers = "LMN-1\nLMN-2\nLMN-3"
    answer = send(client, paper="P-1", accessions=numbers, seen=preview.stamp, why="season of 2024")
    assert answer.status_code == 302
    assert answer["Location"] == reverse("papers:paper", args=[paper.pk])
    made = PaperLink.objects.exclude(accession=three)
    assert sorted(made.values_list("accession__number", "why")) == [
        ("LMN-1", "season of 2024"), ("LMN-2", "season of 2024"),
    ]  # fmt: skip


def test_another_choice_than_was_seen_is_shown_again(client: Client) -> None:
    paper, one, _two = register.paper("P-1"), register.accession("LMN-1"), register.accession("LMN-2")
    stamp = bulk_preview(paper, [one]).stamp
    answer = send(client, paper="P-1", accessions="LMN-1\nLMN-2", seen=stamp)
    assert "has changed since you looked" in answer.content.decode()
    assert not PaperLink.objects.exists()


def test_what_would_change_can_be_seen_first(client: Client) -> None:
    paper, one = register.paper("P-1"), register.accession("LMN-1")
    answer = send(client, paper="P-1", accessions="LMN-1", seen=bulk_preview(paper, [one]).stamp, look="1")
    assert "What would change" in answer.content.decode()
    assert not PaperLink.objects.exists()


def test_hundreds_are_one_deed_with_one_mark(client: Client, django_assert_max_num_queries) -> None:
    """One transaction, and no query an accession: 300 cost as many as two."""
    paper = register.paper("P-1")
    many = [register.accession(f"LMN-{n:03}") for n in range(300)]
    with django_assert_max_num_queries(12):
        done = bulk_attaching.attach_to_accessions(paper=paper, accessions=many, by=register.person(), why="season")
    assert (done.made, done.known) == (300, 0)
    assert Touch.objects.filter(scope="paper", key=paper.pk).count() == 1
    again = bulk_attaching.attach_to_accessions(paper=paper, accessions=many[:5], by=register.person(), why="again")
    assert (again.made, again.known) == (0, 5)


def test_all_or_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """If the mark cannot be left, no link is made."""
    paper, one = register.paper("P-1"), register.accession("LMN-1")

    def fails(*args: object, **more: object) -> None:
        raise DatabaseError("disk full")

    monkeypatch.setattr("governance.papers.actions.linking.touch", fails)
    with pytest.raises(DatabaseError):
        bulk_attaching.attach_to_accessions(paper=paper, accessions=[one], by=register.person(), why="x")
    assert not PaperLink.objects.exists()


@pytest.mark.parametrize("number", [1, 20])
def test_a_preview_costs_the_same_whatever_its_length(number: int, django_assert_num_queries) -> None:
    paper = register.paper("P-1", (Layer.LAND,))
    rows = [register.accession(f"LMN-{n}") for n in range(number)]
    with django_assert_num_queries(3):
        bulk_preview(paper, rows)


def test_the_list_as_it_was_narrowed_fills_the_form(client: Client) -> None:
    register.accession("LMN-1", kind="gift")
    register.accession("LMN-2", kind="field")
    page = client.get(reverse(ADDRESS), {"list": "1", "kind": "gift"}).content.decode()
    assert "LMN-1" in page
    assert "LMN-2" not in page


def test_volunteers_attach_nothing() -> None:
    client = Client()
    client.force_login(register.person(Role.VOLUNTEER))
    assert client.get(reverse(ADDRESS)).status_code == 403
    assert send(client, paper="P-1", accessions="LMN-1").status_code == 403
