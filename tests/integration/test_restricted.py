"""A restricted paper full of words that stand nowhere else, and every address of the site under every role.

Who may not read the paper must not meet one of its words: on no page, in no part of a page, in no file, by no filter.
That the words are there for its readers is tested as well, else the sweep would prove nothing.

What this cannot show: that a number or a day of the paper is not told in other words, as a verdict's finding may do.
"""

from __future__ import annotations

import io
import json
import re
import zipfile
from datetime import date
from typing import Any

import pytest
from django.core.files.storage import storages
from django.db import transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from accessions.people.access import EVERY_ROLE, VERBS_OF_ROLE, Verb, role_bits
from accessions.people.history import record
from accessions.people.models import Role
from governance.duties.actions.addresses import hash_of
from governance.duties.models import BenefitGiven, BenefitPromise, CalendarAddress, Deposit, Duty, DutyRule
from governance.engine.uses import Said, Use
from governance.papers.actions.restricting import restrict
from governance.papers.models import (
    AcceptedOffer,
    Condition,
    Paper,
    PaperScan,
    PaperStatus,
    PaperVersion,
    TermsReading,
    UseTerm,
    VersionCap,
    VersionPerson,
    VersionPlace,
    VersionTaxon,
    VersionWord,
)
from governance.plans.actions.versions import keep_version
from governance.plans.models import Application, FieldPlan
from governance.scans.models import Filing, Scan, ScanPage, Upload
from governance.verdicts.actions import assess
from tests.factories import duties, plans, register, scans
from tests.integration.test_access_sweep import (
    Address,
    Rows,
    files_of_the_module,
    files_of_the_test,
    guarded,
    kept,
    rows,
    rows_of_all,
    signed_in,
)

__all__ = ["files_of_the_module", "files_of_the_test", "kept", "rows", "rows_of_all"]  # fixtures

READERS = (Role.REGISTRAR, Role.COMPLIANCE)
OTHERS = tuple(role for role in Role if role not in READERS)
CANARY = re.compile("(?i)zz(issuer|holder|second|remarks|why|note|place|person|method|condition|status|reason|scan|pdf"
                    "|words|read|upload|clause|duty|amount|part|othercondition|ask|acknowledgement"
                    "|promise|beneficiary|unit|given|evidence|depository|receipt|deposited|how)")  # fmt: skip
"""The words of the paper that only its readers may meet."""

DRAWN = re.compile('(?<=name="csrfmiddlewaretoken" value=")[A-Za-z0-9]{64}(?=")')
"""The token of a form: among the thousands of pages that are asked for here, one would hold "zzhow" by chance."""

FACE = {
    "issuer": "Zzissuer", "holder": "Zzholder", "second_number": "Zzsecond", "remarks": "Zzremarks",
}  # fmt: skip


@pytest.fixture
def closed(closed_for_all: Paper, rows: Rows) -> Paper:
    """The paper, as no test before has changed it."""
    return Paper.objects.get(pk=closed_for_all.pk)


@pytest.fixture(scope="module")
def closed_for_all(rows_of_all: Rows) -> Paper:
    """The paper of the rows, filled and restricted, used in a verdict, with a scan of its own in all its places."""
    rows = rows_of_all
    paper = Paper.objects.get(pk=rows.keys["paper"])
    registrar = register.person(Role.REGISTRAR)
    for name, value in FACE.items():
        setattr(paper, name, value)
    paper.issuer_agent_id = rows.keys["agent"]
    record(paper, by=registrar, why="Zzwhy")
    _fill_version(paper)
    _fill_duties(paper)
    _fill_benefits(rows, paper, registrar)
    PaperStatus.objects.create(paper=paper, state="granted", from_on="2024-04-01", note="Zzstatus")
    register.rule(register.sheet("DE"))
    _scan(paper, rows, registrar)
    restrict(paper=paper, roles=READERS, why="Zzreason", by=registrar)
    assess(by=registrar, why="so that a verdict rests on it")
    return paper


def _fill_version(paper: Paper) -> None:
    version = paper.versions.get()
    version.note = "Zznote"
    version.save()
    VersionPlace.objects.create(version=version, position=0, site="Zzplace")
    VersionPerson.objects.create(version=version, position=0, name="Zzperson")
    VersionWord.objects.create(version=version, position=0, subject="methods", word="Zzmethod")
    Condition.objects.create(version=version, position=0, text="Zzcondition")
    _fill_terms(version)


def _fill_duties(paper: Paper) -> None:
    """What the paper asks for, as a rule, and as the duty that follows, with what was entered of it."""
    words = {"what": "Zzduty", "to_whom": "Zzissuer"}
    DutyRule.objects.filter(paper=paper).update(**words, clause="Zzclause", clause_number="Zzclause 7")
    for duty in Duty.objects.filter(paper=paper):
        for name, word in {**words, "note": "Zznote", "moved_why": "Zzwhy"}.items():
            setattr(duty, name, word)
        duty.save()
    told = {"done_how": "Zzhow", "accepted_on": "2027-01-25", "accepted_how": "Zzhow", "accepted_at": timezone.now()}
    by = register.person(Role.REGISTRAR)
    done = duties.done_duty(by=by, paper=paper, **words, **told, accepted_by=by)
    record(done, by=by, why="Zzwhy")
    for rule in DutyRule.objects.filter(paper=paper):
        record(rule, by=by, why="Zzwhy")


def _fill_benefits(rows: Rows, paper: Paper, by: Any) -> None:
    """What the paper promises, what was given for it, what was deposited under it, and the duty of the promise."""
    told: dict[str, tuple[Any, dict[str, Any]]] = {
        "promise": (BenefitPromise, {
            "what": "Zzpromise", "beneficiary": "Zzbeneficiary", "unit": "Zzunit", "clause": "Zzclause",
            "clause_number": "Zzclause 8", "note": "Zznote", "due_on": date(2027, 2, 1),
        }),
        "given": (BenefitGiven, {
            "what": "Zzgiven", "beneficiary": "Zzbeneficiary", "unit": "Zzunit", "evidence": "Zzevidence",
            "note": "Zznote",
        }),
        "deposit": (Deposit, {
            "depository": "Zzdepository", "what": "Zzdeposited", "receipt": "Zzreceipt", "note": "Zznote",
            "receipt_on": date(2024, 7, 2),
        }),
    }  # fmt: skip
    for kind, (model, words) in told.items():
        row = model.objects.get(pk=rows.keys[kind])
        assert row.paper_id == paper.pk, kind
        for name, word in words.items():
            setattr(row, name, word)
        record(row, by=by, why="Zzwhy")
    duties.duty(paper=paper, promise_id=rows.keys["promise"], kind="benefit", what="Zzpromise", due_on=date(2027, 2, 1))


def _fill_terms(version: PaperVersion) -> None:
    TermsReading.objects.update_or_create(
        version=version,
        defaults={
            "ownership": 2, "ownership_clause": "Zzclause", "ask_whom": "Zzask", "note": "Zznote",
            "acknowledgement": "Zzacknowledgement", "read_by": register.person(Role.REGISTRAR),
        },
    )  # fmt: skip
    UseTerm.objects.filter(version=version).delete()
    for use in Use:
        UseTerm.objects.create(
            version=version, use=int(use), said=int(Said.WITH_DUTIES), clause="Zzclause", clause_number="Zzclause 7",
            duties="Zzduty", amount="Zzamount", parts="Zzpart", other_condition="Zzothercondition",
        )  # fmt: skip


def _scan(paper: Paper, rows: Rows, by: Any) -> Scan:
    scan = scans.scan(scans.pdf(text="Zzpdf"), original_name="Zzscan.pdf", received_by=by, text_state="read")
    ScanPage.objects.create(scan=scan, number=1, text="Zzwords", folded="zzwords", source="file")
    PaperScan.objects.create(paper=paper, scan=scan, name="Zzscan.pdf", filed_by=by)
    for target in ("accession", "site"):
        Filing.objects.create(scan=scan, name="Zzscan.pdf", filed_by=by, **{f"{target}_id": rows.keys[target]})
    _take_off_again(scan, rows, by)
    AcceptedOffer.objects.create(
        paper=paper, field="issuer", value="Zzissuer", read_from="Zzread", scan=scan, page=1, start=0, accepted_by=by
    )
    return scan


def _take_off_again(scan: Scan, rows: Rows, by: Any) -> None:
    """Filings that ended say why, and that is of the content, too."""
    for target in ("accession", "site"):
        Filing.objects.create(
            scan=scan, name="Zzscan.pdf", filed_by=by, filed_why="Zzwhy", taken_off_by=by, taken_off_at=timezone.now(),
            taken_off_why="Zzreason", **{f"{target}_id": rows.keys[target]},
        )  # fmt: skip


def words_of(answer: Any) -> str:
    """All that an answer says: its body, unpacked if it is a workbook, and where it sends on to."""
    body = b"".join(answer) if answer.streaming else answer.content
    if body.startswith(b"PK"):
        with zipfile.ZipFile(io.BytesIO(body)) as packed:
            body = b"".join(packed.read(name) for name in packed.namelist())
    return DRAWN.sub("", body.decode("utf-8", "replace")) + str(dict(answer.headers))


def leaks(client: Client, path: str, method: str) -> list[str]:
    """The words of the paper in an answer; what a page changed is undone for the next."""
    with transaction.atomic():
        found = words_of(getattr(client, method)(path))
        transaction.set_rollback(True)
    return sorted({match[0] for match in CANARY.finditer(found)})


@pytest.mark.parametrize("address", guarded(), ids=lambda address: address.name)
def test_no_address_tells_others(address: Address, rows: Rows, closed: Paper) -> None:
    """Reading and sending nothing, of the row that the address is of."""
    _also_of_the_scan(rows, closed)
    path = reverse(address.name, kwargs=rows.of(address))
    verb = address.callback.required_verb  # type: ignore[attr-defined]
    told = {}
    for role in OTHERS:
        methods = ("get", "post") if verb in VERBS_OF_ROLE[role] else ("get",)
        found = [word for method in methods for word in leaks(signed_in(role), path, method)]
        if found:
            told[str(role)] = found
    assert told == {}


def _also_of_the_scan(rows: Rows, paper: Paper) -> None:
    """Addresses of scans and filings are visited for the restricted scan."""
    filed = paper.scans.get(name="Zzscan.pdf")
    filing = Filing.objects.get(scan=filed.scan, accession__isnull=False, taken_off_at=None)
    rows.keys |= {
        "number": 1, "token": int("1" * 32), "scan": filed.scan_id, "paper_scan": filed.pk, "filing": filing.pk,
    }  # fmt: skip


def test_readers_meet_every_word(closed: Paper) -> None:
    """Else the sweep could not fail."""
    page = words_of(signed_in(Role.COMPLIANCE).get(reverse("papers:paper", args=[closed.pk])))
    for word in (*FACE.values(), "Zzwhy", "Zznote", "Zzplace", "Zzperson", "Zzmethod", "Zzcondition", "Zzstatus",
                 "Zzreason", "Zzclause 7", "Zzduty", "Zzamount", "Zzpart", "Zzothercondition", "Zzask",
                 "Zzacknowledgement"):  # fmt: skip
        assert word in page


@pytest.mark.parametrize("role", OTHERS)
def test_others_see_that_it_is_there(role: str, closed: Paper) -> None:
    """Its number, kind, layer and days, what it covers, and whom to ask."""
    page = words_of(signed_in(role).get(reverse("papers:paper", args=[closed.pk])))
    for words in ("COL-2024-052", "Collecting permit", "LMN-2024-038",
                  "Restricted: open to registrars and compliance officers. Ask one of them."):  # fmt: skip
        assert words in page
    assert "COL-2024-052" in words_of(signed_in(role).get(reverse("papers:papers")))


@pytest.mark.parametrize("role", OTHERS)
def test_filters_do_not_find_by_hidden_words(role: str, closed: Paper) -> None:
    """What was typed stands in the box again, so the row is looked for, not the word."""
    client = signed_in(role)
    beside = register.paper("EXP-2024-001")  # without it, the country would not be offered at all
    for value in FACE.values():
        assert list(client.get(reverse("papers:papers"), {"q": value}).context["page"]) == [], value
    found = {row.pk for row in client.get(reverse("papers:papers"), {"country": "GE"}).context["page"]}
    assert beside.pk in found
    assert closed.pk not in found
    found = client.get(reverse("papers:papers"), {"q": "COL-2024-052"}).context["page"]
    assert [row.pk for row in found] == [closed.pk]


def test_readers_find_by_all_words(closed: Paper) -> None:
    client = signed_in(Role.REGISTRAR)
    for query in [*({"q": value} for value in FACE.values()), {"country": "GE"}]:
        assert closed.pk in [row.pk for row in client.get(reverse("papers:papers"), query).context["page"]], query


@pytest.mark.parametrize("name", ["papers-csv", "papers-xlsx", "papers-export"])
def test_files_leave_it_out_and_say_so(name: str, closed: Paper) -> None:
    other = register.paper("EXP-2024-001", restricted_to=EVERY_ROLE)
    told = words_of(signed_in(Role.CURATOR).get(reverse(f"papers:{name}")))
    assert other.reference in told
    assert closed.reference not in told
    assert ("1-restricted" if name == "papers-export" else "1 restricted paper is not in this file") in told
    assert closed.reference in words_of(signed_in(Role.REGISTRAR).get(reverse(f"papers:{name}")))


def test_one_paper_as_a_file_is_refused_with_a_sentence(closed: Paper) -> None:
    answer = signed_in(Role.AUDITOR).get(reverse("papers:paper-export", args=[closed.pk]))
    assert answer.status_code == 403
    assert "open to registrars and compliance officers. Ask one of them." in words_of(answer)


def test_agent_page_does_not_tell_that_it_gave_the_paper(rows: Rows, closed: Paper) -> None:
    path = reverse("people:agent", args=[rows.keys["agent"]])
    assert closed.reference not in words_of(signed_in(Role.CURATOR).get(path))
    assert closed.reference in words_of(signed_in(Role.REGISTRAR).get(path))


# Files ----------------------------------------------------------------------------------------------------------------


def _file_paths(scan: int, token: str) -> list[str]:
    return [
        reverse("scans:scan-file", args=[scan]), reverse("scans:page-image", args=[scan, 1]),
        reverse("scans:upload", args=[token]),
    ]  # fmt: skip


@pytest.mark.parametrize("role", [*Role, None])
def test_guessed_file_is_refused(role: str | None, closed: Paper) -> None:
    """A key that is of nothing, for every role and for a stranger: never content, and never a failure."""
    client = signed_in(role) if role else Client()
    for path in _file_paths(987654, "0123456789abcdef" * 2):
        for method in ("get", "head", "post"):
            answer = getattr(client, method)(path)
            assert answer.status_code in ((403, 404, 405, 410) if role else (302, 401, 403, 404, 405)), (path, method)


@pytest.mark.parametrize("role", [*OTHERS, None])
def test_file_of_a_restricted_paper_is_refused(role: str | None, closed: Paper) -> None:
    """With the right key; its own bytes never come, nor a picture of it."""
    scan = closed.scans.get(name="Zzscan.pdf").scan
    with storages["scans"].open(scan.stored_name) as stored:
        bytes_of_it = stored.read()
    client = signed_in(role) if role else Client()
    for path in _file_paths(scan.pk, "0" * 32)[:2]:
        answer = client.get(path)
        body = b"".join(answer) if answer.streaming else answer.content
        assert answer.status_code in ((403, 404) if role else (302,)), path
        assert bytes_of_it not in body
        assert not body.startswith((b"%PDF", b"\x89PNG"))


def test_upload_of_somebody_else_is_refused(closed: Paper) -> None:
    mine = Upload.objects.create(token="a" * 32, name="Zzupload.pdf", size_bytes=10,
                                 started_by=register.person(Role.REGISTRAR))  # fmt: skip
    for role in Role:
        answer = signed_in(role).head(reverse("scans:upload", args=[mine.token]))
        assert answer.status_code in (403, 404, 410), role


def test_scan_is_as_restricted_as_its_paper(closed: Paper) -> None:
    scan = closed.scans.get(name="Zzscan.pdf").scan
    assert scan.open_to == role_bits(READERS)
    restrict(paper=closed, roles=list(Role), why="published since", by=register.person(Role.REGISTRAR))
    scan.refresh_from_db()
    assert scan.open_to == EVERY_ROLE


# Duties and benefits --------------------------------------------------------------------------------------------------

DUTY_LISTS = ("duties:duties", "duties:duties-done", "duties:rules", "duties:benefits", "duties:given-list",
              "duties:deposits", "duties:calendar")  # fmt: skip
DUTY_FILES = ("duties:duties-export", "duties:benefits-export", "duties:given-export", "duties:deposits-export")
DUTY_ROWS = {"duties:promise": "promise", "duties:given": "given", "duties:deposit": "deposit",
             "duties:rule": "duty_rule"}  # fmt: skip
IN_ITS_TIME = "?state=all&show=all&year=2027&month=1"


def _paths_of_duties(rows: Rows) -> list[str]:
    """Lists with all that they can hold, both kinds of file, and the page of each row."""
    lists = [reverse(name) + query for name in DUTY_LISTS for query in ("", IN_ITS_TIME)]
    files = [reverse(name, args=[form]) + query for name in DUTY_FILES for form in ("csv", "xlsx")
             for query in ("", IN_ITS_TIME)]  # fmt: skip
    pages = [reverse(name, args=[rows.keys[kind]]) for name, kind in DUTY_ROWS.items()]
    own = Duty.objects.filter(paper=rows.keys["paper"]).values_list("pk", flat=True)
    return [*lists, *files, *pages, *(reverse("duties:duty", args=[pk]) for pk in own)]


def _feed_of(role: str) -> str:
    """The calendar with all duties of a person in that role, read by a program that does not sign in."""
    person = register.person(role)
    CalendarAddress.objects.create(user=person, secret_sha256=hash_of(f"{role} secret"), is_all=True, made_by=person)
    return reverse("duties:feed", args=[f"{role} secret"])


@pytest.mark.parametrize("role", OTHERS)
def test_nothing_of_duties_tells_others(role: str, rows: Rows, closed: Paper) -> None:
    """Rule, promise, gift and deposit of the paper: on pages, in CSV and XLSX, and in the calendar of that person."""
    client = signed_in(role)
    told = {path: found for path in _paths_of_duties(rows) if (found := leaks(client, path, "get"))}
    assert told == {}
    answer = Client().get(_feed_of(role))
    assert not CANARY.search(_unfolded(answer))
    if Verb.EXPORT in VERBS_OF_ROLE[role]:
        assert answer.status_code == 200 and b"BEGIN:VEVENT" in answer.content, "it says that something is due"
    else:
        assert answer.status_code == 404


def test_readers_of_duties_meet_every_word(rows: Rows, closed: Paper) -> None:
    """Else the sweep of duties could not fail: each word on pages, and of each kind of file those that it has."""
    client = signed_in(Role.REGISTRAR)
    met = {path: set(leaks(client, path, "get")) for path in _paths_of_duties(rows)}
    pages = set().union(*(words for path, words in met.items() if "export" not in path))
    assert pages >= {"Zzpromise", "Zzbeneficiary", "Zzunit", "Zzclause", "Zzgiven", "Zzevidence", "Zzdepository",
                     "Zzdeposited", "Zzreceipt", "Zzduty", "Zznote", "Zzhow", "Zzwhy"}  # fmt: skip
    for name, word in zip(DUTY_FILES, ("Zzduty", "Zzpromise", "Zzgiven", "Zzdepository"), strict=True):
        for form in ("csv", "xlsx"):
            assert word in met[reverse(name, args=[form]) + IN_ITS_TIME] | met[reverse(name, args=[form])], (name, form)
    feed = _unfolded(Client().get(_feed_of(Role.REGISTRAR)))
    assert "Zzduty" in feed and "Zzpromise" in feed


def _unfolded(answer: Any) -> str:
    """A calendar with its long lines joined (RFC 5545, 3.1)."""
    return words_of(answer).replace("\r\n ", "")


# Field plans ----------------------------------------------------------------------------------------------------------

TERMS = re.compile("(?i)zz(taxon|excluded|listed|notice)|98.?765.?432|4[234]\\.98765")
"""What the terms of the paper say in 2027, beside the words of before: groups, a limit, corners of its area."""

BESIDE = ("verdicts:today", "papers:paper", "material:accession")
"""Pages of other rooms on which something of plans stands."""

OF_PLANS = [address for address in guarded() if address.name.startswith("plans:") or address.name in BESIDE]
QUERIES = ("", "?language=es&scans=with", "?offers=1")
"""None; a field pack with copies; papers on offer."""


@pytest.fixture
def planned(rows: Rows, closed: Paper) -> FieldPlan:
    """A plan under the closed paper, whose stops fail it in every way, so that all advice is given; with its scan asked
    for, notices, and the paper as what was granted."""
    _terms_of_2027(closed)
    plan = FieldPlan.objects.get(pk=rows.keys["plan"])
    plan.stops.update(country="GE", longitude_deg=43.6, latitude_deg=42.6, name="Within")
    within = plan.stops.get()
    plans.target(within, expected="400")
    for name, values in _STOPS.items():
        stop = plans.stop(
            plan, **{"name": name, "country": "GE", "longitude_deg": 43.6, "latitude_deg": 42.6, **values}
        )
        plans.target(stop, "Ephemeroptera" if name == "Group" else "Trichoptera", expected="10")
    plans.notice(plan, closed, note="Zznotice", stop=within)
    Application.objects.filter(pk=rows.keys["application"]).update(
        layer=1, kind="collecting-permit", paper=closed, asked_on="2026-01-01", granted_on="2026-02-01"
    )
    application = Application.objects.get(pk=rows.keys["application"])
    scan = closed.scans.get(name="Zzscan.pdf").scan
    rows.keys["application_scan"] = plans.application_scan(application, scan).pk
    keep_version(plan, by=register.person(Role.REGISTRAR), why="stops")
    return FieldPlan.objects.get(pk=plan.pk)


_STOPS: dict[str, dict[str, Any]] = {
    "Method": {"methods": "light trap"}, "Person": {"people": "Somebody Else"}, "Group": {},
    "Outside": {"longitude_deg": 43.99, "latitude_deg": 42.6, "radius_m": 500.0},
    "Late": {"first_on": "2027-10-01", "last_on": "2027-11-09"}, "No day": {"first_on": None, "last_on": None},
}  # fmt: skip


def _terms_of_2027(paper: Paper) -> None:
    version = register.version(paper, "2027-01-01", "2027-10-31", note="Zznote")
    ring = [[43.0, 42.0], [43.98765, 42.0], [43.98765, 42.98765], [43.0, 42.98765], [43.0, 42.0]]
    VersionPlace.objects.create(
        version=version, position=0, site="Zzplace", geojson=json.dumps({"type": "Polygon", "coordinates": [ring]})
    )
    VersionPlace.objects.create(version=version, position=1, excluded=True, site="Zzplace two")
    VersionTaxon.objects.create(version=version, position=0, name="Trichoptera")
    VersionTaxon.objects.create(version=version, position=1, name="Zztaxon")
    VersionTaxon.objects.create(version=version, position=2, name="Zzexcluded", excluded=True)
    VersionPerson.objects.create(version=version, position=0, name="J. Ek")
    VersionPerson.objects.create(version=version, position=1, name="Zzperson")
    for position, word in enumerate(("hand net", "Zzmethod")):
        VersionWord.objects.create(version=version, position=position, subject="methods", word=word)
    VersionCap.objects.create(version=version, position=0, limit=98765432, taxon="Zzlisted")
    VersionCap.objects.create(version=version, position=1, limit=98765432, taxon="Trichoptera")
    Condition.objects.create(version=version, position=0, text="Zzcondition", notice_days=30, report_by="01-31")


@pytest.mark.parametrize("address", OF_PLANS, ids=lambda address: address.name)
def test_no_address_of_plans_tells_others(address: Address, rows: Rows, planned: FieldPlan) -> None:
    """Pages and files of a plan to which the paper is linked, as every role that may not read it."""
    path = reverse(address.name, kwargs=rows.of(address))
    verb = address.callback.required_verb  # type: ignore[attr-defined]
    told = {}
    for role in OTHERS:
        if verb in VERBS_OF_ROLE[role]:
            client = signed_in(role)
            found = {word for query in QUERIES for word in _said(client, path + query)}
            if found:
                told[str(role)] = sorted(found)
    assert told == {}


def _said(client: Client, path: str) -> list[str]:
    words = words_of(client.get(path))
    return [match[0] for pattern in (CANARY, TERMS) for match in pattern.finditer(words)]


def test_readers_of_a_plan_meet_the_terms(planned: FieldPlan) -> None:
    """Else the sweep of plans could not fail."""
    client = signed_in(Role.REGISTRAR)
    read = " ".join(
        words_of(client.get(reverse(f"plans:{name}", args=[planned.pk]) + "?language=en"))
        for name in ("plan", "plan-pack", "plan-pack-docx", "plan-areas-geojson", "plan-areas-gpx")
    )
    for word in ("Zztaxon", "Zzexcluded", "Zzmethod", "Zzperson", "Zzplace", "Zzcondition", "43.98765", "98,765,432",
                 "Zznotice", "Zzissuer"):  # fmt: skip
        assert word in read, word


def test_others_see_that_a_limit_is_set(planned: FieldPlan) -> None:
    """Not which, nor how much is left: a reader who sees no limit must not take it that there is none."""
    page = words_of(signed_in(Role.CURATOR).get(reverse("plans:plan", args=[planned.pk])))
    assert "sets limits." in page
    assert "sets limits." not in words_of(signed_in(Role.REGISTRAR).get(reverse("plans:plan", args=[planned.pk])))


# Evidence files -------------------------------------------------------------------------------------------------------


def _evidence(role: str, of: str, **told: str) -> Any:
    """An evidence file as it comes, each member read, workbooks unpacked once more."""
    answer = signed_in(role).post(reverse("audit:bundle-make"), {"of": of, **told})
    assert answer.status_code == (200 if Verb.EXPORT in VERBS_OF_ROLE[role] else 403)
    return answer


def _unpacked(body: bytes) -> str:
    if not body.startswith(b"PK"):
        return body.decode("utf-8", "replace")
    with zipfile.ZipFile(io.BytesIO(body)) as packed:
        return "".join(name + _unpacked(packed.read(name)) for name in packed.namelist())


EVIDENCE_OF = ("paper:COL-2024-052", "accession:LMN-2024-038", "country:GE", "question:papers-that-expire")


@pytest.mark.parametrize("role", OTHERS)
def test_evidence_tells_others_nothing_and_says_so(role: str, closed: Paper) -> None:
    """By its name, by its material, by its country, and by a question."""
    scan = closed.scans.get(name="Zzscan.pdf").scan
    for of in EVIDENCE_OF:
        answer = _evidence(role, of)
        if answer.status_code == 403:
            continue
        told = _unpacked(b"".join(answer))
        assert not CANARY.findall(told), of
        assert scan.sha256 not in told
        if not of.startswith("question"):
            assert "Paper COL-2024-052 with its scans. Restricted: open to registrars and compliance officers." in told


def test_readers_of_evidence_meet_every_word(closed: Paper) -> None:
    """Else the test above could not fail."""
    told = _unpacked(b"".join(_evidence(Role.REGISTRAR, "accession:LMN-2024-038")))
    met = {word.lower() for word in CANARY.findall(told)}
    assert met >= {"issuer", "holder", "second", "remarks", "why", "note", "place", "person", "method", "condition",
                   "status", "reason", "scan", "clause", "duty", "amount", "part", "othercondition", "ask",
                   "acknowledgement", "how"}  # fmt: skip
    assert closed.scans.get(name="Zzscan.pdf").scan.sha256 in told
