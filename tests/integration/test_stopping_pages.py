"""The pages that stop somebody: no page here, not for your role, an old form, a failure of ours."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.test import Client, RequestFactory
from django.views.defaults import permission_denied, server_error

from accessions.people.models import Role
from tests.factories import register


def words(answer: Any) -> str:
    return " ".join(re.sub(r"<[^>]*>", " ", answer.content.decode()).split())


@pytest.mark.django_db
class TestNotFound:
    def test_stranger(self, client: Client) -> None:
        answer = client.get("/nothing/at/all/")
        assert answer.status_code == 404
        assert "There is nothing at this address" in words(answer)
        assert "Find a specimen" not in words(answer)

    def test_signed_in(self, client: Client) -> None:
        client.force_login(register.person(Role.AUDITOR))
        assert "Find a specimen" in words(client.get("/nothing/at/all/"))

    @pytest.mark.parametrize("path", ["/<script>alert(1)</script>/", "/%00/", "/people/99999999999999999999/"])
    def test_odd_addresses(self, client: Client, path: str) -> None:
        client.force_login(register.person(Role.ADMINISTRATOR))
        answer = client.get(path)
        assert answer.status_code == 404
        assert b"<script>alert" not in answer.content


@pytest.mark.django_db
class TestNotAllowed:
    def test_says_which_roles_may(self, client: Client) -> None:
        client.force_login(register.person(Role.AUDITOR))
        answer = client.get("/agents/new/")
        assert answer.status_code == 403
        assert (
            "These roles may enter and correct facts about specimens, events, sites and agents: "
            "Volunteer, Curator, Registrar. Your role is Auditor." in words(answer)
        )

    def test_says_nothing_of_what_it_guards(self, client: Client) -> None:
        """The refusal is the same whether the person behind the address exists or not."""
        somebody = register.person(username="secret-name", first_name="Secret")
        client.force_login(register.person(Role.AUDITOR))
        there, not_there = client.get(f"/people/{somebody.pk}/"), client.get("/people/999999/")
        assert (there.status_code, not_there.status_code) == (403, 403)
        assert words(there) == words(not_there)

    def test_without_a_reason(self, rf: RequestFactory) -> None:
        answer = permission_denied(rf.get("/"), PermissionDenied())
        assert "Your role does not allow this." in words(answer)


@pytest.mark.django_db
def test_old_form() -> None:
    client = Client(enforce_csrf_checks=True)
    client.force_login(register.person())
    answer = client.post("/account/appearance/", {"theme": "dark"})
    assert answer.status_code == 403
    assert "Nothing was changed." in words(answer)


class TestFailure:
    def test_needs_no_database(self, rf: RequestFactory) -> None:
        """No database mark here: the page of a failure must not need what may have failed."""
        answer = server_error(rf.get("/"))
        assert answer.status_code == 500
        assert "Something failed on our side" in words(answer)

    @pytest.mark.django_db
    def test_says_nothing_of_the_failure(self, client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
        def broken(*_: object, **__: object) -> None:
            raise RuntimeError("secret detail of the database")

        monkeypatch.setattr("accessions.people.queries.people_counts", broken)
        client.force_login(register.person(Role.ADMINISTRATOR))
        client.raise_request_exception = False
        answer = client.get("/people/")
        assert answer.status_code == 500
        assert "secret detail" not in answer.content.decode()


def test_stopping_pages_have_their_frame(rf: RequestFactory) -> None:
    from django.template.loader import render_to_string

    for name in ("403.html", "404.html", "403_csrf.html", "500.html"):
        text = render_to_string(name, {}, request=None)
        assert text.count("<h1>") == 1, name
        assert 'class="answer"' in text, name
        assert "stop-picture" in text, name
