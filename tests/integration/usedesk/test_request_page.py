"""The page of a request, its groups and files: the answer first, clauses for readers of a paper only, fixed queries."""

from __future__ import annotations

import csv
import io
from typing import Any, NamedTuple

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from openpyxl import load_workbook

from accessions.material.models import Specimen
from accessions.people.access import role_bits
from accessions.people.models import Role
from governance.engine.uses import NOT_HEARD, Answer, Said, Use
from governance.papers.models import Paper, UseTerm
from governance.usedesk.models import DeskRules, RequestDecision, RequestItem, SilenceRule, UseRequest
from governance.usedesk.queries.answering import desk_answer
from tests.factories.register import accession, link, paper, person, specimen, version
from tests.factories.usedesk import made_use, use_request, use_term
from tests.factories.verdicts import judged

pytestmark = pytest.mark.django_db

SECRET = "Zirkonblau asks for written agreement."


class Setting(NamedTuple):
    request: UseRequest
    ask: Paper
    specimens: list[Specimen]


@pytest.fixture
def setting() -> Setting:
    """Six specimens: two may go with duties, one is asked about, one stays, one is silent, one unread."""
    DeskRules.objects.create(pk=1, country="SE", institution="Lindmark Museum")
    made = [specimen(f"LMN-FW-000{n}", accession=accession(f"LMN-{n}")) for n in range(6)]
    for one in made:
        judged(one)
    said = {2: ("ABS-ASK", Said.ASK_FIRST), 3: ("DEP-NO", Said.NOT_ALLOWED), 4: ("LND-SILENT", Said.SILENT)}
    permit = paper("COL-DUTY")
    use_term(
        version(permit, "2019-01-01", None), Use.SEQUENCING, Said.WITH_DUTIES, clause="Name the Authority in print.",
        clause_number="7.2", page=3, duties="Send a copy.",
    )  # fmt: skip
    for n in (0, 1):
        link(permit, accession=made[n].accession)
    papers = {}
    for n, (reference, word) in said.items():
        papers[n] = paper(reference)
        extra = {"clause": SECRET, "clause_number": "13.1", "page": 6} if n == 2 else {}
        use_term(version(papers[n], "2019-01-01", None), Use.SEQUENCING, word, **extra)
        link(papers[n], specimen=made[n])
    unread = paper("ABS-UNREAD")
    link(unread, specimen=made[5])
    return Setting(use_request(Use.SEQUENCING, specimens=made, country=""), papers[2], made)


def _client(role: str) -> Client:
    client = Client()
    client.force_login(person(role))
    return client


def _page(role: str, request: UseRequest, **query: Any) -> str:
    response = _client(role).get(reverse("usedesk:request", args=[request.pk]), query)
    assert response.status_code == 200
    return response.content.decode()


def test_the_answer_comes_first_and_counts_every_specimen_once(setting: Setting) -> None:
    text = _page(Role.REGISTRAR, setting.request)

    assert "<b>2 of 6 can go now, with duties.</b> 1 waits for an agreement, 1 stays here, 2 need a person" in text
    assert "6 specimens, 5 answers" in text
    for word in ("Allowed with duties", "Ask the provider first", "Terms silent", "Not known", "Not allowed"):
        assert f"<h3>{word}" in text
    assert (
        'aria-label="Allowed with duties 2, Ask the provider first 1, Terms silent 1, Not known 1, Not allowed 1"'
        in text
    )


def test_each_answer_stands_on_its_clause_with_paper_number_and_page(setting: Setting) -> None:
    text = _page(Role.REGISTRAR, setting.request)

    assert "“Name the Authority in print.”" in text
    assert "clause 7.2, page 3" in text
    assert "Send a copy." in text
    assert "Nobody has read" in text


def test_silence_says_silent_and_how_the_house_reads_it(setting: Setting) -> None:
    """A reading of the house makes it go, and the word stays."""
    SilenceRule.objects.create(use=int(Use.SEQUENCING), reading=int(Answer.ALLOWED), reason="Agreed by the board.")

    text = _page(Role.REGISTRAR, setting.request)

    assert "<b>3 of 6 can go now, 2 of them with duties.</b>" in text
    assert "Terms silent" in text
    assert "read as: Allowed" in " ".join(text.replace('<span class="muted">', "").split())
    assert "Agreed by the board." in text


@pytest.mark.parametrize("role", [Role.VOLUNTEER, Role.AUDITOR, Role.CURATOR])
def test_who_may_not_read_the_paper_gets_the_answer_without_its_words(setting: Setting, role: str) -> None:
    Paper.objects.filter(pk=setting.ask.pk).update(
        restricted_to=role_bits([Role.COMPLIANCE]), restricted_why="Names of people"
    )
    group = next(group for group in desk_answer(setting.request).groups if group.word == Answer.ASK_FIRST)

    addresses = [
        reverse("usedesk:request", args=[setting.request.pk]),
        reverse("usedesk:request-group", args=[setting.request.pk, group.key]),
        reverse("usedesk:request-group", args=[setting.request.pk, "ask-first"]),
        reverse("verdicts:specimen", args=[setting.specimens[2].pk]),
    ]
    for address in addresses:
        text = _client(role).get(address).content.decode()
        assert "ABS-ASK asks for written agreement first." in text.replace('<span class="nowrap">', "").replace(
            "ABS-ASK</span>", "ABS-ASK"
        )
        assert "Zirkonblau" not in text
        assert "13.1" not in text
    assert "Restricted: open to compliance officers." in _client(role).get(addresses[0]).content.decode()
    assert "Zirkonblau" in _page(Role.COMPLIANCE, setting.request)


def _csv(role: str, request: UseRequest, **query: Any) -> list[dict[str, str]]:
    response = _client(role).get(reverse("usedesk:request-csv", args=[request.pk]), query)
    text = b"".join(response).decode("utf-8-sig")  # type: ignore[arg-type]
    return list(csv.DictReader(io.StringIO(text)))


def test_files_hold_every_specimen_with_its_reasons(setting: Setting) -> None:
    rows = _csv(Role.REGISTRAR, setting.request)

    assert [row["catalogue number"] for row in rows] == [f"LMN-FW-000{n}" for n in range(6)]
    assert [row["may go as asked"] for row in rows] == ["yes", "yes", "no", "no", "no", "no"]
    assert rows[2]["clauses"] == f"ABS-ASK, clause 13.1, page 6: {SECRET}"
    assert rows[5]["why"] == "Nobody has read ABS-UNREAD yet."
    book = _client(Role.REGISTRAR).get(reverse("usedesk:request-xlsx", args=[setting.request.pk]))
    sheet = load_workbook(io.BytesIO(b"".join(book))).active  # type: ignore[arg-type]
    assert [cell.value for cell in sheet["A"]][1:] == [row["catalogue number"] for row in rows]


def test_files_leave_out_what_their_reader_may_not_read(setting: Setting) -> None:
    Paper.objects.filter(pk=setting.ask.pk).update(restricted_to=role_bits([Role.COMPLIANCE]), restricted_why="x")

    rows = _csv(Role.AUDITOR, setting.request, group="ask-first")

    assert len(rows) == 1
    assert rows[0]["why"] == "ABS-ASK asks for written agreement first."
    assert rows[0]["clauses"] == ""


def test_a_group_lists_its_specimens_and_sorts_them(setting: Setting) -> None:
    address = reverse("usedesk:request-group", args=[setting.request.pk, "with-duties"])

    text = _client(Role.VOLUNTEER).get(address, {"sort": "-number"}).content.decode()

    assert text.index("LMN-FW-0001") < text.index("LMN-FW-0000")
    assert "LMN-FW-0002" not in text
    assert "2 of 6 specimens have this answer." in text


def test_a_group_that_is_gone_says_so_and_is_no_error_of_ours(setting: Setting) -> None:
    address = reverse("usedesk:request-group", args=[setting.request.pk, "ask-first-0000000000"])

    assert _client(Role.CURATOR).get(address).status_code == 404


def test_decided_specimens_are_counted_and_the_rest_is_said_to_be_undecided(setting: Setting) -> None:
    decision = RequestDecision.objects.create(
        request=setting.request, is_approved=True, answer=int(Answer.WITH_DUTIES), decided_by=person(Role.REGISTRAR)
    )
    RequestItem.objects.filter(specimen__in=setting.specimens[:2]).update(decision=decision)

    text = _page(Role.REGISTRAR, setting.request)

    assert "Decided: 2, of which 2 may go; 4 still undecided." in text
    assert "2 may go" in text


def test_only_what_is_not_lent_yet_is_offered_for_a_loan(setting: Setting) -> None:
    decision = RequestDecision.objects.create(
        request=setting.request, is_approved=True, answer=int(Answer.WITH_DUTIES), decided_by=person(Role.REGISTRAR)
    )
    RequestItem.objects.filter(specimen__in=setting.specimens[:2]).update(decision=decision)
    text = _page(Role.REGISTRAR, setting.request)
    assert "Record: Sequenced" in text and "Record loan" not in text  # no loan is asked for

    setting.request.uses |= 1 << Use.LOAN_AT_HOME
    setting.request.save()
    assert "Record loan of 2" in _page(Role.REGISTRAR, setting.request)

    made_use(setting.specimens[0], request=setting.request)

    assert "Record loan of 1" in _page(Role.REGISTRAR, setting.request)


def test_papers_that_are_not_expected_to_speak_stand_in_one_line(setting: Setting) -> None:
    UseTerm.objects.filter(clause_number="7.2").update(said=int(Said.ALLOWED), duties="")
    SilenceRule.objects.create(paper_kind="landowner-consent", reading=NOT_HEARD, reason="It speaks of the land.")
    for n in (0, 1):
        consent = paper(f"LND-LAND-{n}", kind="landowner-consent")
        use_term(version(consent, "2019-01-01", None), Use.SEQUENCING, Said.SILENT)
        link(consent, accession=setting.specimens[n].accession)

    text = _page(Role.REGISTRAR, setting.request)

    assert "2 more papers are silent and not expected to speak of it" in text
    folded = text.split('<details class="not-expected">')[1].split("</details>")[0]
    assert "LND-LAND-0" in folded
    assert "LND-LAND-1" in folded
    assert "It speaks of the land." in folded
    assert "COL-DUTY" not in folded, "what allows it stands above"
    assert "1 paper decides." in text.split('id="answers-h"')[1].split("not-expected")[0]


def test_split_by_use_shows_each_use_by_itself(setting: Setting) -> None:
    UseRequest.objects.filter(pk=setting.request.pk).update(uses=(1 << Use.SEQUENCING) | (1 << Use.STUDY_ON_THE_SPOT))

    text = _page(Role.CURATOR, setting.request, split="1")

    assert "Each use by itself" in text
    assert text.count('<th scope="row">') >= 2


def test_an_empty_basket_offers_what_to_do(setting: Setting) -> None:
    empty = use_request(Use.SEQUENCING, reference="UR-EMPTY", country="")

    text = _page(Role.VOLUNTEER, empty)

    assert "Nothing is in the basket yet." in text
    assert reverse("usedesk:request-scan", args=[empty.pk]) in text
    assert reverse("usedesk:request-scan", args=[empty.pk]) not in _page(Role.AUDITOR, empty)


def test_a_stranger_is_sent_to_sign_in_and_a_post_is_refused(setting: Setting) -> None:
    address = reverse("usedesk:request", args=[setting.request.pk])

    assert Client().get(address).status_code == 302
    assert _client(Role.REGISTRAR).post(address).status_code == 405
    assert _client(Role.VOLUNTEER).get(reverse("usedesk:request-csv", args=[setting.request.pk])).status_code == 403


def _queries(address: str) -> int:
    client = _client(Role.REGISTRAR)
    client.get(address)
    with CaptureQueriesContext(connection) as captured:
        assert client.get(address).status_code == 200
    return len(captured)


def test_queries_do_not_grow_with_the_specimens_nor_with_the_papers(setting: Setting) -> None:
    page = reverse("usedesk:request", args=[setting.request.pk])
    group = reverse("usedesk:request-group", args=[setting.request.pk, "with-duties"])
    before = _queries(page), _queries(group)
    for n in range(30):
        one = specimen(f"LMN-FW-1{n:03}", accession=setting.specimens[0].accession)
        judged(one)
        own = paper(f"MORE-{n}")
        use_term(version(own, "2019-01-01", None), Use.SEQUENCING, Said.WITH_DUTIES)
        link(own, specimen=one)
        RequestItem.objects.create(request=setting.request, specimen=one, added_by=person(Role.REGISTRAR))

    assert (_queries(page), _queries(group)) == before
    assert before[0] <= 50


def test_the_page_of_a_specimen_says_what_may_be_done_with_it(setting: Setting) -> None:
    text = _client(Role.VOLUNTEER).get(reverse("verdicts:specimen", args=[setting.specimens[0].pk])).content.decode()

    assert "What may be done with it" in text
    for name in ("Study on the spot", "Sequencing", "Return to the provider"):
        assert name in text
