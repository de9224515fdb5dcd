"""The first steps: how far each is by what the register holds, who sees which, left out and taken up again."""

from __future__ import annotations

import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from accessions.intake.models import Batch
from accessions.people.models import Role, User
from governance.guide.models import SkippedStep, Step
from governance.guide.queries.leading import leading
from governance.usedesk.models import DeskRules
from tests.factories import plans, register, scans
from tests.factories.verdicts import judged

pytestmark = pytest.mark.django_db


@pytest.fixture
def registrar() -> User:
    return register.person(Role.REGISTRAR)


def signed_in(user: User) -> Client:
    client = Client()
    client.force_login(user)
    return client


def states(user: User) -> dict[str, str]:
    return {str(one.step): str(one.state) for one in leading(user).steps}


def next_page(user: User) -> str:
    found = leading(user).next
    return found.href if found else ""


def test_an_empty_register(registrar: User) -> None:
    """Nobody who may do it has named the institution; sheets wait for their countries."""
    assert states(registrar) == {
        "house": "waiting", "intake": "next", "sheets": "waiting", "papers": "open", "links": "waiting",
        "verdicts": "waiting", "question": "waiting", "plan": "open",
    }  # fmt: skip
    DeskRules.objects.create(institution="Vendel House of Nature", country="SE")
    assert states(registrar)["house"] == "done"


def test_each_step_leads_to_the_page_where_it_goes_on(registrar: User) -> None:
    """From the file that waits to the plan, as the register fills."""
    batch = Batch.objects.create(file_name="a.csv", data=b"", sha256="0" * 64, received_by=registrar)
    assert next_page(registrar) == reverse("intake:batch-preview", args=[batch.pk])
    accession = register.accession("VHN-1")
    specimen = register.specimen("VHN 1", accession=accession, event=register.event(country_code="GE", country="GE"))
    assert next_page(registrar) == reverse("verdicts:country-without-sheet", args=["GE"])
    sheet = register.sheet("GE")
    assert next_page(registrar) == reverse("verdicts:country-rules-at-once", args=[sheet.pk])
    register.rule(sheet)
    assert next_page(registrar) == reverse("scans:scans")
    paper = register.paper("COL-1")
    assert next_page(registrar) == reverse("papers:version-new", args=[paper.pk])
    register.version(paper, "2024-01-01", "2024-12-31")
    assert next_page(registrar) == reverse("papers:paper-link", args=[paper.pk])
    register.link(paper, accession=accession)
    assert states(registrar)["verdicts"] == "waiting", "not judged yet"
    judged(specimen)
    assert next_page(registrar) == reverse("audit:ask", args=["outside-dates"])
    register.specimen("VHN 2", accession=accession)
    assert states(registrar)["verdicts"] == "waiting", "one of two is not judged yet"


def test_a_scan_in_no_file_keeps_the_papers_open(registrar: User) -> None:
    register.version(register.paper("COL-1"), "2024-01-01", "2024-12-31")
    assert states(registrar)["papers"] == "done"
    scans.scan()
    assert states(registrar)["papers"] != "done"


def test_a_step_is_left_out_and_taken_up_again(registrar: User) -> None:
    client = signed_in(registrar)
    for _twice in range(2):  # somebody else pressed first
        client.post(reverse("guide:skip", args=["intake"]))
    assert states(registrar)["intake"] == "skipped"
    assert "Left out: Bring in a spreadsheet." in client.get(reverse("guide:steps")).content.decode()
    for _twice in range(2):
        client.post(reverse("guide:take-up", args=["intake"]))
    assert states(registrar)["intake"] == "next"
    row = SkippedStep.objects.get()
    assert (row.skipped_by, row.taken_up_by) == (registrar, registrar)
    assert [h.history_change_reason for h in row.history.order_by("history_id")] == ["left out", "taken up again"]
    assert client.post(reverse("guide:skip", args=["sing"])).status_code == 404


@pytest.mark.parametrize(
    ("role", "steps"),
    [
        (Role.VOLUNTEER, [Step.HOUSE, Step.INTAKE, Step.VERDICTS, Step.QUESTION]),
        (Role.ADMINISTRATOR, [Step.HOUSE, Step.SHEETS, Step.VERDICTS, Step.QUESTION]),
    ],
)
def test_a_person_sees_the_steps_of_their_role(role: Role, steps: list[Step]) -> None:
    user = register.person(role)
    assert [one.step for one in leading(user).steps] == steps
    page = signed_in(user).get(reverse("guide:steps")).content.decode()
    assert ("Leave out" in page) is (role == Role.ADMINISTRATOR)


def test_the_panel_goes_when_the_register_is_in_use(registrar: User) -> None:
    """Verdicts, a question and a plan: what else is left stands on the agenda. Until then it can be put away."""
    judged(register.specimen("VHN 1"))
    client = signed_in(registrar)

    def has_panel() -> bool:
        return 'id="first-steps-head"' in client.get("/").content.decode()

    assert has_panel()
    client.post(reverse("guide:panel"), {"panel": "hidden"})
    assert not has_panel()
    client.post(reverse("guide:panel"), {"panel": "shown"})
    assert has_panel()
    plans.field_plan()
    client.post(reverse("guide:skip", args=["question"]))
    assert not has_panel()


def test_what_is_next_stands_below_what_was_done(registrar: User) -> None:
    register.specimen("VHN 1", event=register.event(country_code="GE", country="GE"))
    client = signed_in(registrar)
    page = client.post(reverse("verdicts:country-start"), {"country": "PE"}, follow=True).content.decode()
    assert re.search(r'class="next-step">.*?Next: A sheet for each country\..*?Enter the rules of Georgia', page, re.S)


def test_a_file_that_waits_is_not_called_next_on_its_own_pages(registrar: User) -> None:
    """The way on stands there as the button of the page; on the list of files the step is said."""
    client = signed_in(registrar)
    file = SimpleUploadedFile("trip.csv", b"catalogNumber,accessionNumber\nA-1,ACC")
    page = client.post(reverse("intake:batch-new"), {"file": file}, follow=True).content.decode()
    assert "trip.csv is here." in page
    assert 'class="next-step"' not in page
    discard = reverse("intake:batch-discard", args=[Batch.objects.get().pk])
    listed = client.post(discard, {"why": "Another file"}, follow=True).content.decode()
    assert re.search(r'class="next-step">.*?Next: Bring in a spreadsheet\.', listed, re.S)


def test_queries_do_not_grow(registrar: User, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    """2 of how far it is, 13 of what there is, 2 of the session and the person."""
    client = signed_in(registrar)
    with django_assert_num_queries(17):
        client.get(reverse("guide:steps"))
    for number in range(3):
        register.specimen(f"VHN {number}", event=register.event(country_code="GE", country="GE"))
        register.version(register.paper(f"COL-{number}"), "2024-01-01", "2024-12-31")
    with django_assert_num_queries(17):
        client.get(reverse("guide:steps"))
