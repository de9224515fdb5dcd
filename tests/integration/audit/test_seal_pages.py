"""The pages of the seal: what is said of it, a check by the button, heads printed, typed and noted; the commands."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.core import mail
from django.core.management import call_command
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from accessions.people.models import Role
from accessions.people.sealing import head
from governance.audit.actions import sealing as actions
from governance.audit.forms.seal import CompareForm
from governance.audit.models import KeptHead, SealCheck
from governance.audit.queries.seal_checking import check_seal
from tests.factories import register

pytestmark = pytest.mark.django_db


@pytest.fixture
def registrar(client: Client) -> Any:
    made = register.person(Role.REGISTRAR)
    client.force_login(made)
    return made


@pytest.fixture
def sealed(registrar: Any) -> tuple[int, str]:
    """A register that was sealed; the head."""
    register.paper()
    actions.seal_late(by=registrar, why="The seal began.")
    return head()


def words(client: Client, name: str, **query: str) -> str:
    answer = client.get(reverse(f"audit:{name}"), query)
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split())


class TestState:
    def test_before_the_first_entry(self, client: Client, registrar: Any) -> None:
        assert "Nothing is sealed yet" in words(client, "seal")
        assert "Nothing is sealed yet" in words(client, "seal-head")

    def test_never_checked_then_checked(self, client: Client, sealed: tuple[int, str]) -> None:
        assert f"{sealed[0]} entries, never checked as a whole" in words(client, "seal")
        answer = client.post(reverse("audit:seal-check"), follow=True)
        assert "all is as it was sealed" in answer.content.decode()
        assert "Unbroken since" in words(client, "seal")
        assert "The seal began." in words(client, "seal")

    def test_problems_with_what_to_do(self, client: Client, sealed: tuple[int, str]) -> None:
        register.site("GE-7")
        client.post(reverse("audit:seal-check"))
        page = words(client, "seal")
        assert "1 problem was found" in page
        assert "GE-7" in page
        assert "seal_late" in page

    def test_a_long_chain_is_checked_in_the_background(
        self, client: Client, sealed: tuple[int, str], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(actions, "takes_long", lambda: True)
        answer = client.post(reverse("audit:seal-check"), follow=True)
        assert "in the background" in answer.content.decode()
        assert SealCheck.objects.count() == 1  # tests do at once what waits for the background

    def test_queries(
        self, client: Client, sealed: tuple[int, str], django_assert_num_queries: DjangoAssertNumQueries
    ) -> None:
        """Session, person, and seven of the seal, whatever is there."""
        actions.keep_check(check_seal(with_files=False), by=None)
        with django_assert_num_queries(9):
            words(client, "seal")


class TestHeads:
    def test_printed_in_groups(self, client: Client, sealed: tuple[int, str]) -> None:
        page = words(client, "seal-head")
        number, sha256 = sealed
        assert all(f"<span>{sha256[start : start + 4]}</span>" in page for start in range(0, 64, 4))
        assert f"Entry {number}" in page
        assert "data:image/svg+xml" in page

    def test_typed_again(self, client: Client, sealed: tuple[int, str]) -> None:
        number, sha256 = sealed
        groups = " ".join(sha256[start : start + 4] for start in range(0, 64, 4)).upper()
        assert f"Yes: entry {number}" in words(client, "seal-compare", printed=f"{number}: {groups}")
        assert f"No: entry {number}" in words(client, "seal-compare", printed=f"{number}: {'0' * 64}")
        assert "no entry 900 yet" in words(client, "seal-compare", printed=f"900:\n{sha256}")
        assert f"Yes: entry {number}" in words(client, "seal-compare", printed=f"{number:,}:{sha256}")

    def test_noted(self, client: Client, sealed: tuple[int, str]) -> None:
        address = reverse("audit:head-new")
        form = client.get(address)
        told = {"head": form.context["form"]["head"].value(), "where": "ledger, p. 212"}
        assert client.post(address, told).status_code == 302
        kept = KeptHead.objects.get()
        assert (kept.number, kept.sha256, kept.where) == (*sealed, "ledger, p. 212")
        assert "ledger, p. 212" in words(client, "seal")

    def test_noted_wrongly(self, client: Client, sealed: tuple[int, str]) -> None:
        """All mistakes at once; a head of another register is refused in words."""
        address = reverse("audit:head-new")
        answer = client.post(address, {"head": "12: abc", "where": ""})
        assert answer.status_code == 422
        page = answer.content.decode()
        assert "3 digits stand after the colon" in page
        assert page.count('class="field bad"') == 2
        answer = client.post(address, {"head": f"1: {'ab' * 32}", "where": "ledger"})
        assert answer.status_code == 422
        assert "does not have this hash" in answer.content.decode()
        assert not KeptHead.objects.exists()

    @pytest.mark.parametrize("typed", ["", "hello", "12", "12: xyz", f"{'a' * 64}", f"12: {'a' * 65}"])
    def test_what_is_no_head(self, typed: str) -> None:
        assert "printed" in CompareForm({"printed": typed}).errors


class TestCommands:
    def test_verify(self, sealed: tuple[int, str], capsys: pytest.CaptureFixture[str]) -> None:
        call_command("verify_seal")
        said = capsys.readouterr().out
        assert "All is as it was sealed" in said
        assert "Sealed late: entry 1" in said
        assert "No head is kept elsewhere" in said
        assert SealCheck.objects.count() == 1

    def test_verify_finds(self, sealed: tuple[int, str], capsys: pytest.CaptureFixture[str]) -> None:
        register.site("GE-7")
        with pytest.raises(SystemExit) as left:
            call_command("verify_seal", "--json", "--no-files")
        report = json.loads(capsys.readouterr().out)
        assert left.value.code == 1
        assert [(one["kind"], one["table"]) for one in report["problems"]] == [("unsealed", "history of sites")]

    @pytest.mark.parametrize(
        ("told", "said"), [("nowhere.txt", "nowhere.txt cannot be read"), ("12:abc", "64 hexadecimal digits")]
    )
    def test_verify_from_what_is_no_head(self, told: str, said: str, capsys: pytest.CaptureFixture[str]) -> None:
        with pytest.raises(SystemExit) as left:
            call_command("verify_seal", "--from-head", told)
        assert left.value.code == 2
        assert said in capsys.readouterr().err

    def test_a_head_is_kept_and_compared(
        self, sealed: tuple[int, str], tmp_path: Any, capsys: pytest.CaptureFixture[str]
    ) -> None:
        ledger = tmp_path / "ledger.txt"
        call_command("keep_seal_head", "--to", str(ledger), "--mail", "notary@example.org")
        assert sealed[1][:4] in mail.outbox[0].body
        call_command("verify_seal", "--from-head", str(ledger))
        assert "2 of 2 heads that are kept elsewhere agree" in capsys.readouterr().out

    def test_late_by_nobody(self, capsys: pytest.CaptureFixture[str]) -> None:
        with pytest.raises(SystemExit) as left:
            call_command("seal_late", "--why", "Power cut.", "--by", "nobody")
        assert left.value.code == 2
        assert "nobody" in capsys.readouterr().err

    def test_late(self, registrar: Any, capsys: pytest.CaptureFixture[str]) -> None:
        call_command("seal_late", "--why", "Power cut.", "--by", registrar.username)
        assert "sealed late" in capsys.readouterr().out
        call_command("seal_late", "--why", "Power cut.", "--by", registrar.username)
        assert "nothing to be done" in capsys.readouterr().out
