"""Account, people and agents as pages: what they show, what they take, what they say of a mistake."""

from __future__ import annotations

import csv
import io
import re
from typing import Any

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries, Settings

from accessions.people import actions
from accessions.people.models import Agent, AgentName, Role, User
from tests.factories import register

pytestmark = pytest.mark.django_db

GOOD = "four calm words here"


@pytest.fixture(autouse=True)
def quick_passwords(settings: Settings) -> None:
    """Hashing is slow on purpose, and these tests are not about it."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher", *settings.PASSWORD_HASHERS]


def page_for(role: str, path: str) -> str:
    client = Client()
    client.force_login(register.person(role))
    answer = client.get(path)
    assert answer.status_code == 200, path
    return answer.content.decode()


@pytest.fixture
def admin(client: Client) -> User:
    """An administrator, signed in with the client of the test."""
    person = register.person(Role.ADMINISTRATOR, first_name="Astrid", last_name="Holm")
    client.force_login(person)
    return person


@pytest.fixture
def curator(client: Client) -> User:
    person = register.person(Role.CURATOR)
    client.force_login(person)
    return person


def words(answer: Any) -> str:
    """The text of a page, without marks and with single blanks."""
    return " ".join(re.sub(r"<[^>]*>", " ", answer.content.decode()).split())


class TestAccount:
    def test_says_what_the_role_may_do(self) -> None:
        text = page_for(Role.AUDITOR, "/account/")
        assert "Read everything in the register" in text
        assert "Take lists and files out of the register" in text
        assert "Put a decision beside a computed verdict" not in text

    def test_own_password_needs_the_present_one(self, client: Client, curator: User) -> None:
        given = {"present": "not it", "password": GOOD, "again": GOOD}
        answer = client.post("/account/password/", given)
        assert answer.status_code == 422
        assert "This is not your present password." in words(answer)
        curator.refresh_from_db()
        assert curator.check_password(register.PASSWORD)

    def test_new_password_is_typed_twice(self, client: Client, curator: User) -> None:
        given = {"present": register.PASSWORD, "password": GOOD, "again": GOOD + "!"}
        assert "The two passwords differ." in words(client.post("/account/password/", given))

    def test_weak_password(self, client: Client, curator: User) -> None:
        given = {"present": register.PASSWORD, "password": "short", "again": "short"}
        assert "at least 10 characters" in words(client.post("/account/password/", given))

    @pytest.mark.parametrize("theme", ["light", "dark", "auto"])
    def test_appearance(self, client: Client, curator: User, theme: str) -> None:
        client.post("/account/appearance/", {"theme": theme})
        assert client.cookies["theme"].value == theme
        assert f'data-theme="{theme}"' in client.get("/account/").content.decode()

    def test_appearance_that_is_none(self, client: Client, curator: User) -> None:
        client.post("/account/appearance/", {"theme": '"><script>'})
        assert "theme" not in client.cookies

    def test_cookie_of_somebody_else_is_text(self, client: Client, curator: User) -> None:
        """Whatever a cookie holds stays inside its attribute."""
        client.cookies["theme"] = "x'><b>"
        assert "<b>" not in client.get("/account/").content.decode().split("</head>")[0]


class TestPeople:
    def test_list_by_role_and_state(self, client: Client, admin: User) -> None:
        register.person(Role.VOLUNTEER, first_name="Lo", last_name="Ekström")
        register.person(Role.AUDITOR, first_name="Henrik", last_name="Vall", is_active=False)
        everybody = words(client.get("/people/"))
        assert "2 people may sign in." in everybody
        assert "1 account is deactivated." in everybody
        volunteers = words(client.get("/people/?role=volunteer"))
        assert "Lo Ekström" in volunteers
        assert "Henrik Vall" not in volunteers
        assert "Henrik Vall" in words(client.get("/people/?state=deactivated"))

    def test_nobody_fits(self, client: Client, admin: User) -> None:
        assert "Nobody has this role and state" in words(client.get("/people/?role=curator"))

    @pytest.mark.parametrize("query", ["role=owner", "sort=password", "page=x", "page=999", "size=7", "role=%00"])
    def test_address_that_makes_no_sense(self, client: Client, admin: User, query: str) -> None:
        assert client.get(f"/people/?{query}").status_code == 200

    @pytest.mark.parametrize(("sort", "first"), [("name", "Lo Alm"), ("role", "Astrid Holm"), ("seen", "Astrid Holm")])
    def test_orders(self, client: Client, admin: User, sort: str, first: str) -> None:
        """By family name; by role in the alphabet of the roles; by who was here last."""
        register.person(Role.VOLUNTEER, first_name="Lo", last_name="Alm")
        rows = re.findall(r'<th scope="row"><a [^>]*>([^<]*)', client.get(f"/people/?sort={sort}").content.decode())
        assert rows[0] == first

    def test_add(self, client: Client, admin: User) -> None:
        register.agent("T. Berglind")
        given = {
            "username": "tove", "role": "curator", "first_name": "Tove", "last_name": "Berglind",
            "agent": "berglind, t", "password": GOOD, "again": GOOD,
        }  # fmt: skip
        answer = client.post("/people/new/", given, follow=True)
        made = User.objects.get(username="tove")
        assert answer.redirect_chain == [(f"/people/{made.pk}/", 302)]
        assert "Tove Berglind may sign in." in words(answer)
        assert str(made.agent) == "T. Berglind"
        assert made.check_password(GOOD)

    def test_add_says_all_mistakes(self, client: Client, admin: User) -> None:
        given = {"username": "to ve", "role": "owner", "agent": "N. Nobody", "password": GOOD, "again": "x"}
        text = words(client.post("/people/new/", given))
        for mistake in ("Enter a valid username", "owner is not one of", "No agent has the name", "passwords differ"):
            assert mistake in text, mistake

    def test_name_that_is_taken(self, client: Client, admin: User) -> None:
        given = {"username": admin.username, "role": "curator", "password": GOOD, "again": GOOD}
        answer = client.post("/people/new/", given)
        assert (answer.status_code, User.objects.count()) == (422, 1)
        assert "already exists" in words(answer)

    def test_agent_of_two(self, client: Client, admin: User) -> None:
        register.agent("J. Ek")
        register.agent("J. Ek")
        answer = client.post(f"/people/{admin.pk}/edit/", {"agent": "J. Ek"})
        assert "is the name of more than one agent" in words(answer)

    def test_edit(self, client: Client, admin: User) -> None:
        client.post(f"/people/{admin.pk}/edit/", {"first_name": "Astrid", "last_name": "Alm", "email": ""})
        admin.refresh_from_db()
        assert admin.shown_name == "Astrid Alm"

    def test_role(self, client: Client, admin: User) -> None:
        lo = register.person(Role.VOLUNTEER, first_name="Lo", last_name="Alm")
        answer = client.post(f"/people/{lo.pk}/role/", {"role": "registrar", "why": "new post"}, follow=True)
        assert "Lo Alm is now Registrar." in words(answer)
        assert "new post" in words(answer)

    def test_last_administrator_stays(self, client: Client, admin: User) -> None:
        for path, given in (
            (f"/people/{admin.pk}/role/", {"role": "curator"}),
            (f"/people/{admin.pk}/deactivate/", {}),
        ):
            answer = client.post(path, given)
            assert answer.status_code == 422
            assert "Astrid Holm is the only active administrator." in words(answer)
        admin.refresh_from_db()
        assert (admin.role, admin.is_active) == ("administrator", True)

    def test_deactivate_asks_first(self, client: Client, admin: User) -> None:
        lo = register.person(Role.VOLUNTEER)
        assert "Deactivate" in words(client.get(f"/people/{lo.pk}/deactivate/"))
        lo.refresh_from_db()
        assert lo.is_active
        client.post(f"/people/{lo.pk}/deactivate/", {"why": "left"})
        lo.refresh_from_db()
        assert not lo.is_active
        client.post(f"/people/{lo.pk}/reactivate/")
        lo.refresh_from_db()
        assert lo.is_active

    def test_own_password_given_keeps_the_session(self, client: Client, admin: User) -> None:
        client.post(f"/people/{admin.pk}/password/", {"password": GOOD, "again": GOOD})
        assert client.get("/people/").status_code == 200

    def test_unknown_person(self, client: Client, admin: User) -> None:
        assert client.get("/people/999999/").status_code == 404

    def test_queries_do_not_grow(
        self, client: Client, admin: User, django_assert_num_queries: DjangoAssertNumQueries
    ) -> None:
        """Session, person, counts, number of rows, rows with their agents."""
        for number in range(30):
            User.objects.create(username=f"p{number}", role="volunteer", agent=register.agent(f"P. {number}"))
        with django_assert_num_queries(5):
            client.get("/people/")

    def test_history_queries_do_not_grow(
        self, client: Client, admin: User, django_assert_num_queries: DjangoAssertNumQueries
    ) -> None:
        """Session, person, the one who is shown, their history."""
        lo = register.person(Role.VOLUNTEER)
        for role in ("curator", "registrar", "auditor"):
            actions.change_role(lo, by=admin, why="", role=role)
        with django_assert_num_queries(4):
            client.get(f"/people/{lo.pk}/")


class TestAgents:
    def test_search_by_any_form(self, client: Client, curator: User) -> None:
        jonna = actions.add_agent(by=curator, why="", name="Jonna Ek")
        actions.add_name_form(jonna, by=curator, why="", form="J. Ek")
        register.agent("I. Holmqvist")
        text = words(client.get("/agents/?q=ek,+j"))
        assert "1 of 2 agents fits." in text
        assert "Jonna Ek" in text
        assert "Holmqvist" not in text

    def test_empty_and_nothing_found(self, client: Client, curator: User) -> None:
        assert "No agents yet" in words(client.get("/agents/"))
        register.agent()
        assert "No agent has such a name" in words(client.get("/agents/?q=zz"))

    def test_add_and_edit(self, client: Client, curator: User) -> None:
        client.post("/agents/new/", {"name": "Jonna  Ek", "kind": "person", "contact": "Sundvik"})
        agent = Agent.objects.get()
        assert (agent.name, agent.contact) == ("Jonna Ek", "Sundvik")
        client.post(f"/agents/{agent.pk}/edit/", {"name": "Jonna Alm", "kind": "person", "contact": ""})
        agent.refresh_from_db()
        assert (agent.name, agent.contact) == ("Jonna Alm", "")
        assert agent.names.count() == 2

    @pytest.mark.parametrize("name", ["", "unknown", "..."])
    def test_name_of_nobody(self, client: Client, curator: User, name: str) -> None:
        answer = client.post("/agents/new/", {"name": name, "kind": "person"})
        assert answer.status_code == 422
        assert not Agent.objects.exists()

    def test_form_added_twice(self, client: Client, curator: User) -> None:
        jonna = actions.add_agent(by=curator, why="", name="Jonna Ek")
        assert client.post(f"/agents/{jonna.pk}/forms/", {"form": "J. Ek"}).status_code == 302
        answer = client.post(f"/agents/{jonna.pk}/forms/", {"form": "EK, J"})
        assert answer.status_code == 422
        assert "This form of the name is already listed." in words(answer)

    def test_form_removed_after_a_question(self, client: Client, curator: User) -> None:
        jonna = actions.add_agent(by=curator, why="", name="Jonna Ek")
        form = actions.add_name_form(jonna, by=curator, why="", form="J. Ek")
        path = f"/agents/{jonna.pk}/forms/{form.pk}/remove/"
        assert "Remove “J. Ek”?" in words(client.get(path))
        assert jonna.names.count() == 2
        client.post(path)
        assert [left.form for left in jonna.names.all()] == ["Jonna Ek"]

    def test_form_of_another_agent(self, client: Client, curator: User) -> None:
        """The address must not reach past the agent it names."""
        jonna, other = register.agent("Jonna Ek"), register.agent("I. Holm")
        answer = client.post(f"/agents/{jonna.pk}/forms/{other.names.get().pk}/remove/")
        assert answer.status_code == 404

    def test_volunteer_may_and_auditor_only_reads(self) -> None:
        jonna = register.agent("Jonna Ek")
        assert "Add this form" in page_for(Role.VOLUNTEER, f"/agents/{jonna.pk}/")
        assert "Add this form" not in page_for(Role.AUDITOR, f"/agents/{jonna.pk}/")

    def test_what_people_write_is_text(self, client: Client, curator: User) -> None:
        jonna = register.agent("<script>alert(1)</script>", contact="<b>bold</b>", remarks="<i>x</i>")
        for path in ("/agents/", f"/agents/{jonna.pk}/", f"/agents/{jonna.pk}/edit/"):
            text = client.get(path).content.decode()
            assert "<script>alert" not in text
            assert "<b>bold" not in text

    def test_queries_do_not_grow(
        self, client: Client, curator: User, django_assert_num_queries: DjangoAssertNumQueries
    ) -> None:
        """Session, person, number of all, number of rows, rows, their forms."""
        for number in range(30):
            register.agent(f"P. {number}")
        with django_assert_num_queries(6):
            client.get("/agents/")


class TestExport:
    def rows(self, client: Client, query: str = "") -> list[dict[str, str]]:
        text = b"".join(client.get(f"/agents/export.csv{query}")).decode("utf-8-sig")  # type: ignore[call-overload]
        return list(csv.DictReader(io.StringIO(text, newline="")))

    def test_as_it_is_filtered(self, client: Client, curator: User) -> None:
        jonna = register.agent("Jonna Ek", contact="Sundvik,\n“upper” town")
        AgentName.objects.create(agent=jonna, form="J. Ek", key="jek")
        register.agent("I. Holm")
        assert self.rows(client, "?q=jonna") == [
            {"name": "Jonna Ek", "kind": "person", "forms": "J. Ek | Jonna Ek", "contact": "Sundvik,\n“upper” town",
             "remarks": ""}
        ]  # fmt: skip

    @pytest.mark.parametrize("name", ["=1+1", "+46 1", "-1+1", "@SUM(A1)", "\t=1"])
    def test_no_cell_runs(self, client: Client, curator: User, name: str) -> None:
        """OWASP, CSV Injection: a cell that starts so is run by spreadsheet programs; an apostrophe makes it text."""
        register.agent(name)
        assert [row["name"] for row in self.rows(client)] == ["'" + name]

    def test_is_a_file(self, client: Client, curator: User) -> None:
        answer = client.get("/agents/export.csv")
        assert answer["Content-Disposition"] == 'attachment; filename="agents.csv"'
        assert answer["X-Content-Type-Options"] == "nosniff"

    def test_volunteer_takes_nothing_out(self) -> None:
        client = Client()
        client.force_login(register.person(Role.VOLUNTEER))
        assert client.get("/agents/export.csv").status_code == 403
