"""The page of an evidence file, the file as it comes, and a large one that is made in the background."""

from __future__ import annotations

import io
import zipfile
from datetime import timedelta
from typing import Any
from urllib.parse import parse_qs, urlencode, urlsplit

import pytest
from django.core.files.storage import storages
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from lxml import html

from accessions.people.models import Role
from governance.audit.actions import bundling
from governance.audit.models import EvidenceBundle
from governance.papers.actions.restricting import restrict
from governance.papers.models import Paper
from governance.scans.queries.intact import check_intact
from tests.factories import register

pytestmark = pytest.mark.django_db


def client_of(role: str = Role.CURATOR) -> Client:
    client = Client()
    client.force_login(register.person(role))
    return client


@pytest.fixture
def paper(db: None) -> Paper:
    paper = register.paper("COL-2024/052")
    register.version(paper)
    register.link(paper, accession=register.accession())
    return paper


def page(of: str, **told: str) -> Any:
    return client_of().get(f"{reverse('audit:bundle')}?{urlencode({'of': of, **told})}")


def make(of: str, role: str = Role.CURATOR, **told: str) -> Any:
    return client_of(role).post(reverse("audit:bundle-make"), {"of": of, **told})


class TestPage:
    def test_it_says_what_it_will_hold(self, paper: Paper) -> None:
        answer = page("paper:COL-2024/052", on="2026-01-31")
        assert answer.status_code == 200
        assert b"<b>0 specimens</b>" in answer.content and b"<b>1 paper</b>" in answer.content
        assert b'value="2026-01-31"' in answer.content and b'name="of" value="paper:COL-2024/052"' in answer.content

    def test_a_question_keeps_what_it_was_asked_with(self) -> None:
        answer = page("question:papers-that-expire", days="90")
        assert b'name="days" value="90"' in answer.content

    def test_pages_lead_to_it(self, paper: Paper) -> None:
        specimen, closed = (
            register.specimen("LMN-FW-0001"),
            register.paper("LND-1", restricted_to=4, restricted_why="letter"),
        )
        for name, key, of in (
            ("papers:paper", paper.pk, "paper:COL-2024/052"), ("papers:paper", closed.pk, "paper:LND-1"),
            ("verdicts:specimen", specimen.pk, "specimen:LMN-FW-0001"),
            ("material:accession", specimen.accession_id, "accession:LMN-2024-038"),
            ("verdicts:country", register.sheet("GE").pk, "country:GE"),
        ):  # fmt: skip
            whole = html.fromstring(client_of().get(reverse(name, args=[key])).content)
            found = {parse_qs(urlsplit(link.get("href")).query).get("of", [""])[0] for link in whole.iter("a")}
            assert of in found, name

    def test_what_it_is_about_can_be_named_on_the_page(self, paper: Paper) -> None:
        """From the list of questions, without a page of its own; what is not there can be mended in the form."""
        client, page = client_of(), reverse("audit:bundle")
        assert page in client.get(reverse("audit:questions")).content.decode()
        named = client.get(page, {"kind": "paper", "key": paper.reference})
        assert named.headers["Location"] == f"{page}?{urlencode({'of': f'paper:{paper.reference}'})}"
        assert client.get(page, {"kind": "paper", "key": ""}).status_code == 422
        unknown = client.get(page, {"of": "paper:NOPE"})
        assert unknown.status_code == 404 and unknown.context["asks"].initial == {"kind": "paper", "key": "NOPE"}

    def test_costs_few_queries(self, paper: Paper, django_assert_max_num_queries: Any) -> None:
        client = client_of()
        for _number in range(5):
            register.specimen()
        with django_assert_max_num_queries(16):
            client.get(reverse("audit:bundle"), {"of": "accession:LMN-2024-038"})

    @pytest.mark.parametrize("told, status, words", [
        ({"of": "specimen:LMN-0"}, 404, "The register has no specimen “LMN-0”."),
        ({"of": "paper:COL-2024/052", "on": "31.1.2026"}, 422, "Enter a valid date."),
        ({"of": "paper:COL-2024/052", "known": "2999-01-01"}, 422, "That day is to come"),
        ({"of": "paper:COL-2024/052", "known": "1999-01-01"}, 422, "The first record was entered on"),
        ({"of": "question:outside-dates", "known": "1999-01-01"}, 422, "The first record was entered on"),
    ])  # fmt: skip
    def test_mistakes_come_in_words(self, told: dict[str, str], status: int, words: str, paper: Paper) -> None:
        answer = make(**told)
        assert answer.status_code == status
        assert words in answer.content.decode()


class TestFile:
    def test_it_comes_with_a_name(self, paper: Paper) -> None:
        answer = make("paper:COL-2024/052")
        assert answer["Content-Disposition"] == 'attachment; filename="evidence-paper-COL-2024-052.zip"'
        assert answer["Cache-Control"] == "private, no-store"
        with zipfile.ZipFile(io.BytesIO(b"".join(answer))) as bundle:
            assert "papers/COL-2024-052.html" in bundle.namelist()


@pytest.mark.usefixtures("paper")
class TestLarge:
    """Tests do at once what waits for the background."""

    @pytest.fixture(autouse=True)
    def _small_limit(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(bundling, "MOST_PAPERS_AT_ONCE", 0)

    def _made(self) -> tuple[str, str, EvidenceBundle]:
        answer, row = make("paper:COL-2024/052", on="2024-06-17"), EvidenceBundle.objects.get()
        place = reverse("audit:bundle-progress", args=[row.pk])
        assert (answer.status_code, answer["Location"]) == (302, place)
        return place, reverse("audit:bundle-file", args=[row.pk]), row

    def test_it_is_made_and_given_to_whom_it_was_made_for(self) -> None:
        place, file, row = self._made()
        assert (row.state, row.papers) == ("done", [Paper.objects.get().pk])
        assert file in client_of().get(place).content.decode()
        body = b"".join(client_of().get(file))
        assert len(body) == row.size_bytes
        with zipfile.ZipFile(io.BytesIO(body)) as bundle:
            assert "in force on 17 June 2024" in bundle.read("papers/COL-2024-052.html").decode()
        assert client_of(Role.REGISTRAR).get(file).status_code == 404
        assert client_of(Role.REGISTRAR).get(place).status_code == 404

    def test_what_was_restricted_since_is_given_out_no_more(self) -> None:
        place, file, _row = self._made()
        restrict(paper=Paper.objects.get(), roles=[Role.REGISTRAR], why="letter", by=register.person(Role.REGISTRAR))
        answer = client_of().get(file, follow=True)
        assert answer.redirect_chain == [(place, 302)]
        assert b"Something in it was restricted since" in answer.content

    def test_what_was_left_out_then_keeps_nothing_back_now(self) -> None:
        """A paper that was closed from the start is not in the file, and so it is given out."""
        by = register.person(Role.REGISTRAR)
        restrict(paper=Paper.objects.get(), roles=[Role.REGISTRAR], why="letter", by=by)
        _place, file, row = self._made()
        assert row.papers == []
        with zipfile.ZipFile(io.BytesIO(b"".join(client_of().get(file)))) as bundle:
            assert "Restricted: open to registrars. Ask one of them." in bundle.read("index.html").decode()

    def test_it_is_gone_after_a_day(self) -> None:
        _place, _file, row = self._made()
        assert check_intact().is_intact, "it is no scan that nobody knows of"
        EvidenceBundle.objects.update(asked_at=timezone.now() - timedelta(days=1, minutes=1))
        make("paper:COL-2024/052")
        assert EvidenceBundle.objects.get().pk != row.pk
        assert not storages["scans"].exists(row.stored_name)

    def test_what_stopped_it_stands_there(self, monkeypatch: pytest.MonkeyPatch) -> None:
        def fails(*_told: Any, **_more: Any) -> None:
            raise OSError("disk full")

        monkeypatch.setattr(bundling, "write_bundle", fails)
        place, file, row = self._made()
        assert row.state == "failed"
        words = client_of().get(place).content.decode()
        assert "The store of the files cannot be used now." in words and "disk full" not in words
        assert client_of().get(file, follow=True).redirect_chain == [(place, 302)]

    def test_progress_is_told(self) -> None:
        place, _file, row = self._made()
        EvidenceBundle.objects.update(state="running", step="Papers", done=3, total=7)
        whole, part = client_of().get(place), client_of().get(place, headers={"HX-Request": "true"})
        for answer in (whole, part):
            assert '<progress max="7" value="3">' in answer.content.decode()
            assert "Papers: 3 of 7" in answer.content.decode()
        assert b"<html" in whole.content and b"<html" not in part.content
        EvidenceBundle.objects.update(sign_at=timezone.now() - bundling.LONGEST_SILENCE - timedelta(minutes=1))
        assert b"It gave no sign of life" in client_of().get(place).content
        assert row.title == "Paper COL-2024/052"

    def test_a_question_with_many_rows(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(bundling, "MOST_SPECIMENS_AT_ONCE", -1)
        assert make("question:outside-dates").status_code == 302
        assert EvidenceBundle.objects.get().state == "done"
