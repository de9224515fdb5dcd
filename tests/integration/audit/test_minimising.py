"""The data of a private person go after their day, and the chain of the seal holds."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.apps import apps
from django.db import connection
from django.test import Client
from django.urls import reverse

from accessions.people.actions.agents import add_agent, add_name_form, edit_agent
from accessions.people.models import Agent, AgentName, PersonalSalt, Role, User
from accessions.sites.actions.periods import remove_period
from accessions.sites.models import SiteTenure
from governance.audit.actions.errors import AuditError
from governance.audit.actions.keeping import adopt_rule
from governance.audit.actions.minimising import minimise
from governance.audit.models import Minimisation
from governance.audit.queries.minimising import person_kept, places_of_name
from governance.audit.queries.seal_checking import check_seal
from tests.factories import register

TODAY = date(2026, 11, 26)
NAME, FORM, CONTACT = "Ottiline Vrbak", "O. Vrbak", "Mill Lane 4, Nazvri"


def officer() -> User:
    return register.person(Role.COMPLIANCE)


def rules_adopted(other: int | None = 10) -> None:
    for kind, years in (("person", 1), ("other", other)):
        adopt_rule(kind=kind, years=years, source="Decision 4 of the house", by=officer(), why="Decided")


def landowner() -> Agent:
    """With three entries of the history, and a form of the name besides."""
    curator = register.person()
    made = add_agent(by=curator, why="entered", name=NAME, contact=CONTACT)
    edit_agent(made, by=curator, why="a remark", remarks=f"{NAME} asked for a copy")
    add_name_form(made, by=curator, why="as signed", form=FORM)
    return made


def tenure(of: Agent, until: date | None) -> SiteTenure:
    return SiteTenure.objects.create(site=register.site(), agent=of, held_to=until)


def everything_written() -> str:
    """All text of every table of the register, as the database holds it."""
    found = []
    with connection.cursor() as cursor:
        for model in apps.get_models(include_auto_created=True):
            cursor.execute(f"SELECT * FROM {connection.ops.quote_name(model._meta.db_table)}")
            found.append(str([[bytes(cell) if isinstance(cell, memoryview) else cell for cell in row]
                              for row in cursor.fetchall()]))  # fmt: skip
    return "\n".join(found)


@pytest.mark.django_db
def test_the_chain_holds_and_nobody_can_guess(django_capture_on_commit_callbacks: Any) -> None:
    """Name, contact, remarks and forms stand nowhere any more; a later change of the agent is sealed as ever."""
    with django_capture_on_commit_callbacks(execute=True):
        rules_adopted()
        agent = landowner()
        tenure(agent, date(2010, 6, 30))  # kept up to 30 June 2020, the person up to 30 June 2021
    assert person_kept(agent, TODAY).until == date(2021, 6, 30)
    before = PersonalSalt.objects.filter(salt__isnull=False).count()
    assert before and not check_seal().problems.count and NAME in everything_written()
    with django_capture_on_commit_callbacks(execute=True):
        made = minimise(agent=agent, why="The day has passed", by=officer(), today=TODAY)
    agent.refresh_from_db()
    assert (agent.name, agent.contact, agent.remarks) == (f"Person {agent.pk}", "", "")
    assert made.changes == 4 and not AgentName.objects.exists()  # added, changed; two forms added
    written = everything_written()
    assert not any(text in written for text in (NAME, FORM, CONTACT, "ottilinevrbak", "ovrbak"))
    assert PersonalSalt.objects.filter(salt__isnull=True).count() == 10  # three columns of two entries, two of two
    assert [str(one) for one in check_seal().problems.named] == []
    with django_capture_on_commit_callbacks(execute=True):
        edit_agent(agent, by=register.person(), why="later", contact="by post office box")
    assert not check_seal().problems.count


@pytest.mark.django_db
def test_a_salt_that_goes_without_it_is_found(django_capture_on_commit_callbacks: Any) -> None:
    with django_capture_on_commit_callbacks(execute=True):
        landowner()
    PersonalSalt.objects.update(salt=None)
    assert check_seal().problems.count


@pytest.mark.django_db
class TestRefused:
    @staticmethod
    def problem(agent: Agent, today: date = TODAY) -> str:
        """What the action says; the record is as it was."""
        with pytest.raises(AuditError) as error:
            minimise(agent=agent, why="The day has passed", by=officer(), today=today)
        assert Agent.objects.get(pk=agent.pk).name == agent.name and not Minimisation.objects.exists()
        return str(error.value)

    def test_before_the_day(self) -> None:
        """30 June 2010 and ten years, and one for the person: up to 30 June 2021, that day included."""
        rules_adopted()
        agent = landowner()
        tenure(agent, date(2010, 6, 30))
        assert self.problem(agent, date(2021, 6, 30)) == "They are kept up to 30 June 2021."
        assert person_kept(agent, date(2021, 7, 1)).may_go

    def test_by_a_rule_that_nobody_adopted(self) -> None:
        assert "has not adopted" in self.problem(landowner())

    @pytest.mark.parametrize(("named", "words"), [
        (lambda agent: tenure(agent, None), "not reached"),
        (lambda agent: register.paper(issuer_agent=agent), "last day of the paper is not known"),
        (lambda agent: register.accession(source=agent), "kept for ever"),
        (lambda agent: register.person(username="new", agent=agent), "signs in"),
        (lambda agent: register.event(recorded_by=f"J. Ek | {FORM}"), "who collected is scientific data"),
    ])  # fmt: skip
    def test_while_something_names_the_person(self, named: Any, words: str) -> None:
        rules_adopted()
        agent = landowner()
        named(agent)
        assert words in self.problem(agent)

    def test_a_tenure_that_was_removed_counts_all_the_same(self) -> None:
        """What it said stands in the history: kept ten years from its last day, 30 June 2020, the person one more."""
        rules_adopted()
        agent = landowner()
        held = tenure(agent, date(2020, 6, 30))
        remove_period(held, by=register.person(), why="entered by mistake")
        assert person_kept(agent, TODAY).until == date(2031, 6, 30)

    def test_an_organisation_and_a_second_time(self) -> None:
        rules_adopted()
        assert "no person" in self.problem(register.agent("Ministry", kind="organisation"))
        agent = landowner()
        minimise(agent=agent, why="The day has passed", by=officer(), today=TODAY)
        with pytest.raises(AuditError, match="already"):
            minimise(agent=agent, why="Again", by=officer(), today=TODAY)


@pytest.mark.django_db
def test_the_page_names_the_records_and_the_words(client: Client) -> None:
    """Of words only counts: a restricted paper says nothing here."""
    rules_adopted()
    agent = landowner()
    paper = register.paper(issuer=f"Estate of {NAME}")
    assert [(place.what, place.count) for place in places_of_name(agent)] == [("papers", 1)]
    client.force_login(officer())
    address = reverse("audit:minimise", args=[agent.pk])
    tenure(agent, None)
    page = client.get(address).content.decode()
    assert "papers: 1" in page and paper.reference not in page and "Take the data out" not in page
    assert client.post(address, {"why": "Now"}).status_code == 422
    SiteTenure.objects.update(held_to=date(2010, 6, 30))  # kept ten years, the person up to 30 June 2021
    assert client.post(address, {"why": "The day has passed"}).status_code == 302
    assert Minimisation.objects.get().why == "The day has passed"
