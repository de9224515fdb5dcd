"""Codes scanned into a request: each counts once however often it is sent, none is lost, nobody's code goes astray."""

from __future__ import annotations

import csv
import io
import json
import threading
import time
from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.db import OperationalError, connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from accessions.material.models import Specimen
from accessions.people.access import NotAllowedError
from accessions.people.models import Role, User
from governance.engine.uses import Said, Use
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.actions.scanning import Read, choose, look_again, scan_codes, take_out_again
from governance.usedesk.forms.scanning import MOST_LINES, new_key
from governance.usedesk.models import RequestDecision, RequestItem, ScanLine, UseRequest
from governance.usedesk.queries.codes import read_code
from governance.usedesk.queries.resolving import specimens_of
from governance.usedesk.queries.scan_signs import signs_of
from governance.usedesk.queries.scanned import shown
from tests.factories import register, usedesk

pytestmark = pytest.mark.django_db

A, B = "LMN-FW-0241873", "LMN-FW-0241874"


@pytest.fixture
def volunteer() -> User:
    """Who scans."""
    return register.person(Role.VOLUNTEER)


@pytest.fixture
def client(volunteer: User) -> Client:
    signed_in = Client()
    signed_in.force_login(volunteer)
    return signed_in


@pytest.fixture
def specimens() -> list[Specimen]:
    return [register.specimen(number) for number in (A, B)]


@pytest.fixture
def request_(specimens: list[Specimen]) -> UseRequest:
    return usedesk.use_request(Use.LOAN_ABROAD)


Scan = Callable[..., list[ScanLine]]


@pytest.fixture
def scan(request_: UseRequest, volunteer: User) -> Scan:
    def scan(*codes: str, **keys: str) -> list[ScanLine]:
        reads = [Read(new_key(), read_code(code)) for code in codes]
        reads += [Read(key, read_code(code)) for key, code in keys.items()]
        return scan_codes(request=request_, reads=reads, by=volunteer)

    return scan


def basket(of: UseRequest) -> list[str]:
    return list(of.items.order_by("pk").values_list("specimen__catalog_number", flat=True))


def close(one: UseRequest, by: User) -> None:
    one.closed_at, one.closed_by, one.closed_why = "2026-11-25T10:00:00Z", by, "withdrawn"  # type: ignore[assignment]
    one.save()


def decided(one: UseRequest, by: User) -> RequestDecision:
    made = RequestDecision.objects.create(request=one, is_approved=True, answer=0, decided_by=by)
    one.items.update(decision=made)
    return made


# What a code does ----------------------------------------------------------------------------------------------------


def test_a_code_puts_its_specimen_in(scan: Scan, request_: UseRequest, volunteer: User) -> None:
    (line,) = scan(f"]C1{A}\r")
    assert (line.outcome, line.code, str(line.specimen)) == ("added", f"]C1{A}", A)
    assert basket(request_) == [A]
    kept = RequestItem.history.get()
    assert (kept.history_type, kept.history_user, kept.history_change_reason) == ("+", volunteer, "scanned")
    item = request_.items.get()
    assert item.added_by == volunteer and item.added_at.date() >= date(2026, 1, 1)


def test_a_number_counts_once(scan: Scan, request_: UseRequest) -> None:
    """Also within one sending, and also in another form of it."""
    lines = scan(A, A, f"https://id.lindmark.example/{A}")
    assert [line.outcome for line in lines] == ["added", "already-in", "already-in"]
    assert basket(request_) == [A]


def test_unknown_codes_are_kept(scan: Scan, request_: UseRequest) -> None:
    (line,) = scan("LMN-FW-9999999")
    assert (line.outcome, line.specimen) == ("unknown", None)
    assert ScanLine.objects.get().code == "LMN-FW-9999999"
    assert basket(request_) == []


def test_a_specimen_without_number_is_never_found(scan: Scan) -> None:
    register.specimen("")
    assert [line.outcome for line in scan("#1", "''", "]C1")] == ["unknown"] * 3


# Which specimen ------------------------------------------------------------------------------------------------------


def found(raw: str, house: str = "") -> list[str]:
    (keys,) = specimens_of([read_code(raw, house)])
    return [str(specimen) for specimen in Specimen.objects.filter(pk__in=keys).order_by("pk")]


def test_case_is_disregarded_where_one_remains(specimens: list[Specimen]) -> None:
    assert found(A.lower()) == [A]
    register.specimen("lmn-fw-77")
    assert found("LMN-FW-77") == ["lmn-fw-77"]


def test_the_very_number_goes_before_others_in_another_case() -> None:
    for number in ("Ab-1", "AB-1"):
        register.specimen(number)
    assert found("AB-1") == ["AB-1"]
    assert found("Ab-1") == ["Ab-1"]
    assert found("ab-1") == ["Ab-1", "AB-1"], "either may be meant: a person chooses"


def test_letters_beyond_ascii() -> None:
    """SQLite lowers the letters of ASCII alone."""
    register.specimen("ÅL-1")
    assert found("ål-1") == ["ÅL-1"]
    assert found("Ål-1") == ["ÅL-1"]


def test_text_and_last_piece_that_are_two_specimens_are_several() -> None:
    for number in ("urn:lmn:7", "7"):
        register.specimen(number)
    assert found("urn:lmn:7") == ["urn:lmn:7", "7"]


def test_address_of_a_page_here(specimens: list[Specimen]) -> None:
    address = f"https://here.example/specimens/{specimens[1].pk}/"
    assert found(address, "here.example") == [B]
    assert found(address, "elsewhere.example") == []
    assert found("https://here.example/specimens/999999/", "here.example") == []


def test_many_codes_take_two_queries(
    specimens: list[Specimen], django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    codes = [read_code(f"NO-{number}") for number in range(500)] + [read_code(A)]
    with django_assert_num_queries(2):
        assert specimens_of(codes)[-1] == (specimens[0].pk,)
    with django_assert_num_queries(1):
        specimens_of([read_code(A)])


def test_numbers_are_looked_up_by_an_index(specimens: list[Specimen]) -> None:
    """In a register of a million a scan of the table takes a third of a second.

    What the plan of a small one shows: that both conditions fit an index; not what is chosen for a large one.
    """
    with CaptureQueriesContext(connection) as asked:
        specimens_of([read_code("nothing")])
    assert len(asked) == 2
    for query in asked:
        assert_by_index(query["sql"])


def assert_by_index(sql: str) -> None:
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SET LOCAL enable_seqscan = off")  # it reads small tables whole unless it may not
            cursor.execute("EXPLAIN " + sql)
            plan = " ".join(row[0] for row in cursor.fetchall())
            assert "Seq Scan" not in plan and "Index" in plan, plan
            return
        cursor.execute("EXPLAIN QUERY PLAN " + sql)
        plan = " ".join(str(row[3]) for row in cursor.fetchall())
        assert "SEARCH material_specimen USING" in plan, plan


# Sent again ----------------------------------------------------------------------------------------------------------


def test_a_line_that_is_sent_again_is_answered_as_before(scan: Scan, request_: UseRequest) -> None:
    (first,) = scan(key00001=A)
    assert [line.pk for line in scan(key00001=A, key00002=B)] == [first.pk, ScanLine.objects.latest("pk").pk]
    assert (first.outcome, ScanLine.objects.count(), basket(request_)) == ("added", 2, [A, B])


def test_same_key_in_another_request_is_another_line(scan: Scan, volunteer: User) -> None:
    scan(key00001=A)
    other = usedesk.use_request()
    (line,) = scan_codes(request=other, reads=[Read("key00001", read_code(A))], by=volunteer)
    assert (line.outcome, basket(other)) == ("added", [A])


def test_what_arrived_before_the_end_is_answered_after_it(scan: Scan, request_: UseRequest, volunteer: User) -> None:
    """The answer was lost, then the request was closed: the page must learn that its line is in."""
    scan(key00001=A)
    close(request_, volunteer)
    assert scan(key00001=A)[0].outcome == "added"
    with pytest.raises(DeskError, match="is closed"):
        scan(key00001=A, key00002=B)
    assert ScanLine.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_two_scanners_at_once_both_count(request_: UseRequest, volunteer: User, specimens: list[Specimen]) -> None:
    """The same specimens from both sides: each is in once, each line is kept.

    The SQLite of tests lies in memory, where a second writer is refused at once instead of waiting: it comes again, as
    the page does.
    """
    meeting, failed = threading.Barrier(2, timeout=20), []

    def scanned(read: Read) -> bool:
        try:
            scan_codes(request=request_, reads=[read], by=volunteer)
        except OperationalError:
            if connection.vendor == "postgresql":
                raise
            return False
        return True

    def work(side: str) -> None:
        try:
            meeting.wait()
            until = time.monotonic() + 30
            for number in range(6):
                while not scanned(Read(f"{side}-{number:07}", read_code((A, B)[number % 2]))):
                    assert time.monotonic() < until, "still refused"
        except Exception as problem:  # a thread that fails must not pass for one that scanned nothing
            failed.append(problem)
        finally:
            connection.close()

    both = [threading.Thread(target=work, args=(side,)) for side in ("left", "right")]
    for one in both:
        one.start()
    for one in both:
        one.join(timeout=60)
    assert failed == []
    assert sorted(basket(request_)) == [A, B]
    outcomes = list(ScanLine.objects.values_list("outcome", flat=True))
    assert (outcomes.count("added"), outcomes.count("already-in")) == (2, 10)


# Undone, chosen, looked up again -------------------------------------------------------------------------------------


def test_take_out_again(scan: Scan, request_: UseRequest, volunteer: User) -> None:
    (line,) = scan(A)
    assert take_out_again(request=request_, key=line.key, by=volunteer).outcome == "taken-out"
    assert take_out_again(request=request_, key=line.key, by=volunteer).outcome == "taken-out", "once is enough"
    assert basket(request_) == []
    assert list(RequestItem.history.order_by("history_id").values_list("history_type", flat=True)) == ["+", "-"]
    assert scan(A)[0].outcome == "added"


def test_taking_back_a_second_reading_leaves_the_specimen_in(scan: Scan, request_: UseRequest, volunteer: User) -> None:
    _, second = scan(A, A)
    line = take_out_again(request=request_, key=second.key, by=volunteer)
    assert basket(request_) == [A]
    assert [str(one.sentence) for one in shown(request_, [line])] == ["Set aside; it is in the basket still."]


def test_unknown_code_set_aside(scan: Scan, request_: UseRequest, volunteer: User) -> None:
    (line,) = scan("LMN-?")
    assert take_out_again(request=request_, key=line.key, by=volunteer).outcome == "taken-out"
    assert look_again(request=request_, by=volunteer) == 0
    line.refresh_from_db()
    assert [str(one.sentence) for one in shown(request_, [line])] == ["Set aside."]


def test_decided_specimen_is_not_taken_out(scan: Scan, request_: UseRequest, volunteer: User) -> None:
    (line,) = scan(A)
    decided(request_, register.person(Role.REGISTRAR))
    with pytest.raises(DeskError, match="Withdraw the decision"):
        take_out_again(request=request_, key=line.key, by=volunteer)
    assert basket(request_) == [A]
    assert ScanLine.objects.get().outcome == "added"


def test_line_that_is_not_known(request_: UseRequest, volunteer: User) -> None:
    with pytest.raises(DeskError, match="not known here"):
        take_out_again(request=request_, key="0" * 32, by=volunteer)


def test_choose_of_several(scan: Scan, request_: UseRequest, volunteer: User, specimens: list[Specimen]) -> None:
    one, other = register.specimen("Ab-1"), register.specimen("AB-1")
    (line,) = scan("ab-1")
    assert (line.outcome, basket(request_)) == ("several", [])
    with pytest.raises(DeskError, match="does not bear"):
        choose(request=request_, key=line.key, specimen=specimens[0].pk, by=volunteer)
    assert choose(request=request_, key=line.key, specimen=other.pk, by=volunteer).outcome == "added"
    assert choose(request=request_, key=line.key, specimen=one.pk, by=volunteer).specimen_id == other.pk, "it is chosen"
    assert basket(request_) == ["AB-1"]


def test_look_again(scan: Scan, request_: UseRequest, volunteer: User) -> None:
    scan("LMN-NEW-1", "LMN-NEW-1", "LMN-NEW-2", "ab-1")
    for number in ("LMN-NEW-1", "Ab-1", "AB-1"):
        register.specimen(number)
    assert look_again(request=request_, by=volunteer) == 2
    assert basket(request_) == ["LMN-NEW-1"]
    outcomes = list(ScanLine.objects.order_by("pk").values_list("outcome", flat=True))
    assert outcomes == ["added", "already-in", "unknown", "several"]


# Who, and into what --------------------------------------------------------------------------------------------------


def test_auditor_may_not(request_: UseRequest) -> None:
    auditor = register.person(Role.AUDITOR)
    with pytest.raises(NotAllowedError):
        scan_codes(request=request_, reads=[Read(new_key(), read_code(A))], by=auditor)
    with pytest.raises(NotAllowedError):
        take_out_again(request=request_, key="0" * 32, by=auditor)


def test_answered_request_takes_nothing(scan: Scan, request_: UseRequest, volunteer: User) -> None:
    request_.answered_at, request_.answered_by = "2026-11-25T10:00:00Z", volunteer  # type: ignore[assignment]
    request_.save()
    with pytest.raises(DeskError, match="is answered"):
        scan(A)
    assert not ScanLine.objects.exists()


# The answers of the desk ---------------------------------------------------------------------------------------------


def test_sign_counts_the_whole_basket(scan: Scan, request_: UseRequest, specimens: list[Specimen]) -> None:
    """A clause that lends one specimen: the first may go, the second makes two, and then neither simply may.

    Own arithmetic: 1 of 1 is within the limit, 2 of 1 are not.
    """
    paper = register.paper("COL-1")
    version = register.version(paper)
    usedesk.use_term(version, Use.LOAN_ABROAD, Said.ALLOWED, most_specimens=1)
    register.link(paper, all_accessions=True)
    scan(A)
    before = signs_of(request_, [specimens[0].pk])[specimens[0].pk]
    scan(B)
    after = signs_of(request_, [specimens[0].pk])[specimens[0].pk]
    assert str(after.word) == "Not allowed"
    assert str(before.word) != "Not allowed"
    assert after.tone == "wait"


# The page and its sendings -------------------------------------------------------------------------------------------


def address(of: UseRequest, name: str = "request-scan-codes") -> str:
    return reverse(f"usedesk:{name}", args=[of.pk])


def post(client: Client, of: UseRequest, *lines: dict[str, Any]) -> Any:
    return client.post(address(of), json.dumps({"lines": lines}), content_type="application/json")


def test_sending_is_answered_line_by_line(client: Client, request_: UseRequest) -> None:
    answer = post(
        client, request_, {"key": "k" * 32, "code": A}, {"key": "m" * 32, "code": "NO"}, {"key": "n" * 32, "code": " "}
    )
    told = answer.json()
    assert [line["key"][0] for line in told["lines"]] == ["n", "k", "m"]
    by_key = {line["key"][0]: line for line in told["lines"]}
    assert by_key["n"] == {"key": "n" * 32, "blank": True}
    assert A in by_key["k"]["row"] and "Calopteryx splendens" in by_key["k"]["big"]
    assert (by_key["m"]["tone"], by_key["m"]["open"]) == ("unknown", True)
    assert by_key["m"]["said"] == "NO. No specimen has this number."
    assert told["tally"] == {"basket": 1, "open": 1}
    assert answer["Cache-Control"].startswith("max-age=0")


def test_sending_twice_adds_once(client: Client, request_: UseRequest) -> None:
    lines = [{"key": "k" * 32, "code": A}, {"key": "m" * 32, "code": B}]
    first, second = (post(client, request_, *lines).json() for _ in range(2))
    assert [line["said"] for line in first["lines"]] == [line["said"] for line in second["lines"]]
    assert (basket(request_), ScanLine.objects.count(), RequestItem.history.count()) == ([A, B], 2, 2)


def test_undo_in_the_same_sending(client: Client, request_: UseRequest) -> None:
    lines = [{"key": "k" * 32, "code": A}, {"key": "m" * 32, "undo": "k" * 32}, {"key": "n" * 32, "code": B}]
    told = post(client, request_, *lines).json()
    assert [line["tone"] for line in told["lines"]][1] == "out"
    assert basket(request_) == [B]


def test_undo_that_cannot_be_is_said_and_leaves_the_queue(client: Client, request_: UseRequest) -> None:
    told = post(client, request_, {"key": "m" * 32, "undo": "k" * 32}).json()
    assert told["lines"][0]["key"] == "m" * 32
    assert "not known" in told["lines"][0]["refused"]


BAD = {
    "no JSON": b"scan",
    "half a text": b"\xff\xfe",
    "no lines": b"{}",
    "a list": b"[]",
    "deep": b"[" * 100_000,
    "lines that are no list": b'{"lines": 1}',
    "a line that is none": b'{"lines": [1]}',
    "no key": b'{"lines": [{"code": "A"}]}',
    "a key that a page never makes": b'{"lines": [{"key": "a b c d e", "code": "A"}]}',
    "a key that is too long": json.dumps({"lines": [{"key": "k" * 65, "code": "A"}]}).encode(),
    "neither code nor undo": json.dumps({"lines": [{"key": "k" * 32}]}).encode(),
    "both": json.dumps({"lines": [{"key": "k" * 32, "code": "A", "undo": "m" * 32}]}).encode(),
    "a code that is no text": json.dumps({"lines": [{"key": "k" * 32, "code": 7}]}).encode(),
    "a code of a book": json.dumps({"lines": [{"key": "k" * 32, "code": "A" * 4001}]}).encode(),
    "too many": json.dumps({"lines": [{"key": f"{n:032}", "code": "A"} for n in range(MOST_LINES + 1)]}).encode(),
}


@pytest.mark.parametrize("body", BAD.values(), ids=BAD.keys())
def test_bad_sending_takes_nothing(client: Client, request_: UseRequest, body: bytes) -> None:
    answer = client.post(address(request_), body, content_type="application/json")
    assert answer.status_code == 400
    assert "expected" in answer.json()["error"] or "needs one" in answer.json()["error"]
    assert not ScanLine.objects.exists()


def test_one_bad_line_takes_no_line(client: Client, request_: UseRequest) -> None:
    assert post(client, request_, {"key": "k" * 32, "code": A}, {"key": "x"}).status_code == 400
    assert not ScanLine.objects.exists()


def test_characters_that_databases_refuse(client: Client, request_: UseRequest) -> None:
    told = post(client, request_, {"key": "k" * 32, "code": "A\x00B"}, {"key": "m" * 32, "code": "\ud800"}).json()
    assert [line["tone"] for line in told["lines"]] == ["unknown", "unknown"]


def test_closed_request_says_so(client: Client, request_: UseRequest, volunteer: User) -> None:
    close(request_, volunteer)
    answer = post(client, request_, {"key": "k" * 32, "code": A})
    assert (answer.status_code, "is closed" in answer.json()["error"]) == (409, True)
    assert not ScanLine.objects.exists()
    page = client.get(address(request_, "request-scan")).content.decode()
    assert "This request is closed" in page and 'name="code"' not in page


def test_stranger_and_forged_sendings(request_: UseRequest, volunteer: User) -> None:
    """The script tells the two apart: a redirect is an ended session, a 403 a token that has aged."""
    assert post(Client(), request_, {"key": "k" * 32, "code": A}).status_code == 302
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(volunteer)
    assert post(strict, request_, {"key": "k" * 32, "code": A}).status_code == 403
    assert not ScanLine.objects.exists()


def test_plain_form(client: Client, request_: UseRequest) -> None:
    """Without script: one field, one code, back with the field in focus and the lines below."""
    page = client.get(address(request_, "request-scan"))
    text = page.content.decode()
    assert text.count("autofocus") == 1
    key = page.context["form"]["key"].value()
    for _ in range(2):  # the button pressed twice
        answer = client.post(address(request_, "request-scan"), {"code": A, "key": key})
        assert answer["Location"] == address(request_, "request-scan")
    client.post(address(request_, "request-scan"), {"code": B, "key": key})  # after a step back in the browser
    assert (basket(request_), ScanLine.objects.count()) == ([A, B], 2)
    again = client.get(address(request_, "request-scan")).content.decode()
    assert again.index(f"{B}</a>") < again.index(f"{A}</a>"), "newest first"
    assert "<b>2 specimens</b> are in the basket." in again


def test_plain_undo_button_and_code(client: Client, request_: UseRequest) -> None:
    page = address(request_, "request-scan")
    client.post(page, {"code": A, "key": new_key()})
    client.post(page, {"code": B, "key": new_key()})
    client.post(page, {"code": "]C1undo", "key": new_key()})
    assert basket(request_) == [A]
    client.post(page, {"undo": ScanLine.objects.order_by("pk")[0].key})
    assert basket(request_) == []
    assert [line.outcome for line in ScanLine.objects.all()] == ["taken-out"] * 2


def test_plain_choice_and_look_again(client: Client, request_: UseRequest) -> None:
    page = address(request_, "request-scan")
    register.specimen("Ab-1")
    wanted = register.specimen("AB-1")
    client.post(page, {"code": "ab-1", "key": new_key()})
    client.post(page, {"code": "LATER", "key": new_key()})
    text = client.get(page).content.decode()
    assert f'name="choose" value="{wanted.pk}"' in text
    client.post(page, {"choose": str(wanted.pk), "line": ScanLine.objects.get(code="ab-1").key})
    register.specimen("LATER")
    answer = client.post(page, {"again": "1"}, follow=True)
    assert "1 code is known now." in answer.content.decode()
    assert basket(request_) == ["AB-1", "LATER"]


@pytest.mark.parametrize(
    "sent", [{}, {"code": "A"}, {"code": "A", "key": "no"}, {"choose": "x", "line": "y"}, {"undo": "nothing"}]
)
def test_plain_form_with_nonsense(client: Client, request_: UseRequest, sent: dict[str, str]) -> None:
    answer = client.post(address(request_, "request-scan"), sent, follow=True)
    assert answer.status_code == 200
    assert 'class="toast is-error"' in answer.content.decode()
    assert not ScanLine.objects.exists()


def test_codes_as_a_file(request_: UseRequest, scan: Scan) -> None:
    scan(A, "=NO", A)
    curator = Client()
    curator.force_login(register.person(Role.CURATOR))
    answer = curator.get(address(request_, "request-scan-export"))
    rows = list(csv.reader(io.StringIO(b"".join(answer).decode("utf-8-sig"))))  # type: ignore[call-overload]
    assert [row[:3] for row in rows[1:]] == [
        [A, "In the basket now.", A],
        ["'=NO", "No specimen has this number.", ""],  # kept from spreadsheet programs, which would run it
        [A, "Was in the basket already.", A],
    ]
    only = curator.get(address(request_, "request-scan-export"), {"open": "1"})
    assert len(list(csv.reader(io.StringIO(b"".join(only).decode())))) == 2  # type: ignore[call-overload]


def test_queries_of_the_page_do_not_grow(
    client: Client, request_: UseRequest, scan: Scan, django_assert_max_num_queries: Any
) -> None:
    numbers = [str(register.specimen(f"Q-{number}")) for number in range(30)]
    scan(*numbers[:2], "NO-1")
    with django_assert_max_num_queries(45) as few:
        client.get(address(request_, "request-scan"))
    scan(*numbers, *(f"NO-{number}" for number in range(30)))
    with django_assert_max_num_queries(len(few)):
        client.get(address(request_, "request-scan"))


def test_queries_of_one_scan(client: Client, request_: UseRequest, scan: Scan) -> None:
    """However full the basket is."""
    numbers = [str(register.specimen(f"Q-{number}")) for number in range(60)]
    with CaptureQueriesContext(connection) as few:
        post(client, request_, {"key": "a" * 32, "code": numbers[0]})
    scan(*numbers[:50])
    with CaptureQueriesContext(connection) as many:
        post(client, request_, {"key": "b" * 32, "code": numbers[55]})
    assert len(few) == len(many) <= 55
