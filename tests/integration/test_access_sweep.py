"""Every address and every action against every role: nobody gets further than the table of roles says.

The addresses are read from the URLconf and the actions from their modules, so that what is new is swept, too. What this
cannot show: that a page asks for the right verb. The table of actions is written out by hand for that reason.
"""

from __future__ import annotations

import ast
import importlib
import inspect
import pkgutil
import re
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any
from unittest.mock import MagicMock

import pytest
from django.conf import settings
from django.contrib.auth.models import AnonymousUser
from django.db import transaction
from django.http import HttpResponse
from django.test import Client, override_settings
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone
from pytest_django import DjangoDbBlocker

import accessions
import governance
from accessions.intake.models import Batch
from accessions.people.access import VERBS_OF_ROLE, NotAllowedError, Verb
from accessions.people.models import Role, Write
from accessions.sites.models import SiteDesignation, SiteTenure
from governance.audit.models import EvidenceBundle, SavedQuestion, UtilisationEnd
from governance.audit.queries.seal.problems import Problems
from governance.audit.queries.seal_checking import SealReport
from governance.config.store import scan_store
from governance.papers.models import PaperContinuation, PaperScan, PaperStatus, ReceivedFile, TitleRecord
from governance.plans.actions.versions import keep_version
from governance.plans.models import PlanSignOff
from governance.reports.models import ShareMessage
from governance.scans.models import Filing, ScanMark, Upload
from governance.usedesk.models import (
    CitesListing,
    LoanReturn,
    ProviderQuestion,
    Remedy,
    RequestDecision,
    Sequence,
    SilenceRule,
    UseItem,
    WayDecision,
)
from governance.verdicts.actions import assess
from governance.verdicts.models import HouseRuleSet, Override, Run
from tests.factories import audit as audit_rows
from tests.factories import duties, plans, register, reports, scans, usedesk, verdicts

PROJECT = Path(__file__).resolve().parents[2]

OPEN_TO_STRANGERS = {
    "people:sign-in": "it is where a stranger is sent",
    "people:sign-out": "whoever is signed out already lands in the same place",
    "people:account-language": "it changes how the sign-in page reads, too, and nothing of the register",
    "duties:feed": "its secret is the right to read it; tests/integration/duties/test_reminders.py tries it",
    "reports:shared": "its signed address is the right to open it; tests/integration/reports/test_sharing.py tries it",
    "reports:shared-file": "the same address opens the issued files that it offers, and no others",
    "reports:shared-message": "who opens the page may write to the museum",
    ":robots": "it tells search engines to stay away",
}
"""Addresses without a verb, each with the reason."""


# Addresses ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Address:
    """One entry of the URLconf: ``name`` is "room:name", ``parameters`` those of its route."""

    name: str
    callback: Callable[..., Any]
    parameters: tuple[str, ...]


def addresses() -> list[Address]:
    return list(_walk(get_resolver().url_patterns, ""))


def _walk(patterns: list[URLPattern | URLResolver], room: str) -> Iterator[Address]:
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            yield from _walk(pattern.url_patterns, pattern.app_name or room)
        else:
            names = re.findall(r"<(?:\w+:)?(\w+)>", str(pattern.pattern))
            yield Address(f"{room}:{pattern.name}", pattern.callback, tuple(names))


def guarded() -> list[Address]:
    return [address for address in addresses() if address.name not in OPEN_TO_STRANGERS]


WORDS: dict[str, Any] = {
    "form": "csv",
    "layer": "land",
    "code": "SE",
    "token": "0" * 32,
    "number": 1,
    "step": "ask",
    "first_step": "plan",
    "deed": "loan",
    "group": "not-known",
    "use": "loan-abroad",
    "way": "export",
    "table": "material",
    "format": "docx",
    "key": "outside-dates",
    "kind": "papers.paper",
    "rule": "quality-without-date",
    "finding": "area-edge",
    "verdict": "straddles",
    "answer": "ask-first",
}
"""What stands in an address for a parameter that is no key."""


@dataclass
class Rows:
    """One row of everything that an address may name."""

    keys: dict[str, int]

    def of(self, address: Address) -> dict[str, Any]:
        """The parameters of an address: the key of the row that the address is of, and fixed words.

        Raises:
            LookupError: the name of the address says nothing of what it is of; ``KEYS`` wants another line.
        """
        if address.name in OF_WHAT_IS_JUDGED:
            assess(by=register.person(), why="so that there is a verdict")
        return {name: self._value(address, name) for name in address.parameters}

    def _value(self, address: Address, parameter: str) -> Any:
        if parameter in WORDS:
            return WORDS[parameter]
        if parameter != "pk":
            return self.keys[parameter.removesuffix("_pk")]
        for prefix, kind in KEYS.items():
            if address.name.startswith(prefix):
                return self.keys[kind]
        raise LookupError(f"{address.name}: of which row is it? Add its beginning to KEYS.")


_KEPT = "a question of somebody's own; tests/integration/audit/test_saved.py tries its keeper"
_MADE = "made for one person; tests/integration/audit/test_bundle_pages.py tries that person"
OF_THE_SENDER = {
    "scans:upload": "a file on its way; tests/integration/scans/test_uploading.py tries its sender",
    "audit:saved-edit": _KEPT, "audit:saved-remove": _KEPT, "audit:saved-back": _KEPT,
    "audit:bundle-progress": _MADE, "audit:bundle-file": _MADE,
}  # fmt: skip
"""Addresses that are there for one person alone, each with the reason: everybody else with the verb gets a 404."""

OF_WHAT_IS_JUDGED = {"verdicts:override"}
"""Addresses that are only there when there is a verdict; all others must do without."""

KEYS = {
    "people:person": "person",
    "people:agent": "agent",
    "sites:boundary-new": "site",
    "sites:tenure-new": "site",
    "sites:designation-new": "site",
    "sites:boundary": "boundary",
    "sites:tenure": "tenure",
    "sites:designation": "designation",
    "sites:site": "site",
    "material:part-new": "accession",
    "material:delivery-new": "accession",
    "material:part": "part",
    "material:delivery": "delivery",
    "material:arrival": "arrival",
    "material:site-attach": "site",
    "material:specimens": "accession",
    "material:specimen": "specimen",
    "material:": "accession",
    "intake:batch": "batch",
    "scans:file-on-site": "site",
    "scans:file-on-accession": "accession",
    "scans:filing": "filing",
    "scans:scan-mark-withdraw": "mark",
    "scans:": "scan",
    "papers:paper-scan-take-off": "paper_scan",
    "papers:scan-ranges": "scan",
    "papers:papers-import-file": "received",
    "papers:site-boundary": "site",
    "papers:title-new": "accession",
    "papers:title": "title",
    "papers:continuation": "continuation",
    "papers:terms": "version",
    "papers:": "paper",
    "verdicts:changes": "paper",
    "verdicts:decision-withdraw": "decision",
    "verdicts:decision": "accession",
    "verdicts:paper": "paper",
    "verdicts:specimen": "specimen",
    "verdicts:override-review": "override",
    "verdicts:override": "specimen",
    "verdicts:country-rule-new": "country",
    "verdicts:country-rules-at-once": "country",
    "verdicts:country-rule": "rule",
    "verdicts:country": "country",
    "verdicts:run": "run",
    "verdicts:accession": "accession",
    "verdicts:legal-file": "accession",
    "usedesk:remedy-new": "made_use",
    "usedesk:remedy": "remedy",
    "usedesk:return-undo": "loan_return",
    "usedesk:sequence-remove": "sequence",
    "usedesk:sequences": "made_use",
    "usedesk:loan-": "made_use",
    "usedesk:retention": "made_use",
    "usedesk:use": "made_use",
    "usedesk:trail-specimen": "specimen",
    "usedesk:trail-accession": "accession",
    "usedesk:trail-site": "site",
    "usedesk:trail-agent": "agent",
    "usedesk:request": "use_request",
    "usedesk:exchange-label": "use_request",
    "usedesk:question": "question",
    "usedesk:decision": "use_decision",
    "usedesk:way-decide": "use_request",
    "usedesk:way-withdraw": "way_decision",
    "usedesk:recipient": "recipient",
    "usedesk:silence": "silence",
    "usedesk:listing": "listing",
    "plans:application-new": "plan",
    "plans:application-scan-take-off": "application_scan",
    "plans:application": "application",
    "plans:plan-paper-take-off": "plan_paper",
    "plans:plan-decision-withdraw": "plan_decision",
    "plans:plan-versions": "plan",
    "plans:plan-version": "plan_version",
    "plans:sign-off": "sign_off",
    "plans:notice-remove": "notice",
    "plans:stop-new": "plan",
    "plans:stops-": "plan",
    "plans:stop-": "stop",
    "plans:home-new": "plan",
    "plans:home-": "way_home",
    "plans:plan": "plan",
    "reports:sending": "report_sending",
    "reports:report-file": "issued_report",
    "reports:report": "report",
    "duties:rule": "duty_rule",
    "duties:duty": "duty",
    "duties:promise": "promise",
    "duties:given": "given",
    "duties:deposit": "deposit",
    "reports:share-message": "share_message",
    "reports:share": "share_link",
    "audit:history": "paper",
    "audit:quality-withdraw": "quality_note",
    "audit:utilisation-withdraw": "utilisation_end",
    "audit:minimise": "agent",
    "audit:verdict-changes": "specimen",
    "audit:saved-edit": "saved_by_one",
    "audit:saved-remove": "saved_by_one",
    "audit:saved-back": "saved_by_one",
    "audit:saved": "saved_question",
    "audit:bundle-": "evidence",
}
"""Beginnings of the names of addresses, the first that fits says of what kind of row the key is."""


@pytest.fixture(scope="module")
def files_of_the_module(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """A folder for scans and no worker, as tests/conftest.py gives to every test, for rows that many tests look at."""
    folder = tmp_path_factory.mktemp("files")
    at_once = {"default": {"BACKEND": "django_tasks.backends.immediate.ImmediateBackend"}}
    storages = settings.STORAGES | {"scans": scan_store("", folder / "store")}
    with override_settings(FIELDWRIT_FILES=folder, STORAGES=storages, TASKS=at_once, FIELDWRIT_WORKER="separate"):
        yield


@pytest.fixture(autouse=True)
def files_of_the_test(files_of_the_module: None) -> None:
    """The folder in which the files of the rows lie."""


@pytest.fixture(autouse=True)
def quick_check(monkeypatch: pytest.MonkeyPatch) -> None:
    """Who may have the seal checked is asked here, not what a check finds, which takes seconds."""
    found = SealReport(entries=0, sha256="", since=None, problems=Problems())
    monkeypatch.setattr("governance.audit.actions.sealing.check_seal", lambda **_: found)


@pytest.fixture(scope="module")
def kept(files_of_the_module: None, django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    """What is made for all tests of a module is taken back at its end, and what a test does at the end of the test."""
    around = transaction.atomic()
    around._from_testcase = True  # type: ignore[attr-defined]  # as Django's own TestCase marks it
    with django_db_blocker.unblock(), around:
        yield
        transaction.set_rollback(True)
        _SESSIONS.clear()


@pytest.fixture
def rows(rows_of_all: Rows, db: None) -> Rows:
    """The rows; a test may name others in their place."""
    return Rows(dict(rows_of_all.keys))


@pytest.fixture(scope="module")
def rows_of_all(kept: None) -> Rows:
    """A small register with one row of everything, made once."""
    curator = register.person()
    site, agent, accession = register.site(), register.agent(), register.accession()
    specimen = register.specimen(accession=accession, event=register.event(site=site))
    paper = register.paper()
    scan = scans.scan()
    sheet = register.sheet()
    HouseRuleSet.objects.get_or_create(pk=1)
    made: dict[str, Any] = {
        "person": register.person(username="somebody"),
        "agent": agent,
        "form": agent.names.get(),
        "site": site,
        "boundary": register.boundary(site),
        "tenure": SiteTenure.objects.create(site=site, agent=agent),
        "designation": SiteDesignation.objects.create(site=site, name="Nazvri reserve"),
        "accession": accession,
        "part": register.part(accession),
        "delivery": register.delivery(accession),
        "arrival": register.arrival(),
        "specimen": specimen,
        "batch": Batch.objects.create(
            file_name="june.csv", data=b"catalogNumber\nLMN-FW-0000001\n", sha256="0" * 64, received_by=curator
        ),
        "paper": paper,
        "version": register.version(paper),
        "turn": PaperStatus.objects.create(paper=paper, state="suspended", from_on="2024-05-10", to_on="2024-05-12"),
        "received": ReceivedFile.objects.create(
            file_name="papers.json", data=b'{"papers": []}', sha256="0" * 64, received_by=curator
        ),
        "link": register.link(paper, by=curator, accession=accession),
        "quality_note": audit_rows.quality_note(),
        "utilisation_end": UtilisationEnd.objects.create(
            paper=paper, ended_on="2024-05-01", evidence="Report 9", recorded_by=curator
        ),
        "scan": scan,
        "upload": Upload.objects.create(token=WORDS["token"], name="permit.pdf", size_bytes=9, started_by=curator),
        "mark": ScanMark.objects.create(scan=scan, kind="illegible", marked_by=curator),
        "filing": Filing.objects.create(accession=accession, scan=scan, name="permit.pdf", filed_by=curator),
        "paper_scan": PaperScan.objects.create(paper=paper, scan=scan, name="permit.pdf", filed_by=curator),
        "duty_rule": duties.duty_rule(paper),
        "duty": duties.duty(paper=paper),
        "title": TitleRecord.objects.create(accession=accession, kind="gift"),
        "country": sheet,
        "sheet": sheet,
        "rule": register.rule(sheet),
        "run": Run.objects.create(engine_version="1", scope="all", why="asked", by=curator),
        "override": Override.objects.create(
            specimen=specimen, layer=1, computed=2, decided=0, reason="letter of 1998", decided_by=curator
        ),
    }
    made["decision"] = verdicts.decision(accession)
    made["continuation"] = PaperContinuation.objects.create(earlier=paper, later=register.paper("COL-2025-001"))
    made["plan"] = plans.field_plan()
    made.setdefault("stop", plans.stop(made["plan"]))
    made["way_home"] = plans.way_home(made["plan"], from_country="GE")
    made["plan_paper"] = plans.attach(made["plan"], made["paper"], curator)
    made["plan_decision"] = plans.decision(made["plan"])
    made["notice"] = plans.notice(made["plan"], made["paper"])
    made["application"] = plans.application(made["plan"])
    made["application_scan"] = plans.application_scan(made["application"], scan)
    made["plan_version"] = keep_version(made["plan"], by=curator, why="New plan")
    made["sign_off"] = PlanSignOff.objects.create(
        version=made["plan_version"], signed_by=curator, remark="Looked at it with the curator."
    )
    made |= rows_of_uses(specimen, paper)
    made |= rows_of_requests(specimen, paper)
    made |= rows_of_reports()
    made |= rows_of_benefits(paper)
    made |= rows_of_questions(curator)
    Write.objects.get_or_create(number=WORDS["number"], defaults={"at": timezone.now(), "origin": "POST /papers/new/"})
    _SESSIONS.update({(role, is_active): _session_of(role, is_active) for role in Role for is_active in (True, False)})
    return Rows({kind: row.pk for kind, row in made.items()})


def rows_of_benefits(paper: Any) -> dict[str, Any]:
    """A promise of a paper, what was given for it, a deposit, and a shared page with a message."""
    link, promise = reports.share_link(), duties.promise(paper)
    return {
        "promise": promise, "given": duties.given(promise), "deposit": duties.deposit(paper=paper), "share_link": link,
        "share_message": ShareMessage.objects.create(link=link, name="Gia", text="Thank you."),
    }  # fmt: skip


def rows_of_questions(by: Any) -> dict[str, Any]:
    """A saved question that everybody sees, one of its owner alone, and evidence that is made for one person."""
    shared, own = (
        SavedQuestion.objects.create(
            title=title, composed={"subject": "papers"}, owner=by, saved_by=by, is_shared=title == "Papers"
        )
        for title in ("Papers", "My papers")
    )
    evidence = EvidenceBundle.objects.create(
        of="country:GE", title="Material from Georgia", role=by.role, sign_at=timezone.now(), asked_by=by
    )
    return {"saved_question": shared, "saved_by_one": own, "evidence": evidence}


def rows_of_uses(specimen: Any, paper: Any) -> dict[str, Any]:
    """A loan of which something is out and something came back, with a remedy and a sequence."""
    by, made = register.person(), usedesk.made_use(specimen, register.specimen())
    back = LoanReturn.objects.create(use=made, on="2026-05-01", recorded_by=by)
    item = made.items.exclude(specimen=specimen).get()
    UseItem.objects.filter(pk=item.pk).update(returned=back)
    return {
        "made_use": made, "loan_return": back,
        "remedy": Remedy.objects.create(use=made, what="Tell the provider.", opened_by=by),
        "sequence": Sequence.objects.create(item=item, accession_number="OR123456"),
    }  # fmt: skip


def rows_of_reports() -> dict[str, Any]:
    """A draft that is composed; an issued report with a file that was sent."""
    issued = reports.issued_report()
    reports.file(issued)
    return {
        "report": reports.stored_draft(), "issued_report": issued, "report_sending": reports.sending(issued),
    }  # fmt: skip


def rows_of_requests(specimen: Any, paper: Any) -> dict[str, Any]:
    """A request with a decision, a question and a decision on the way; a recipient; a rule and a listed name."""
    by, request = register.person(), usedesk.use_request(specimens=[specimen], recipient=usedesk.recipient())
    asked = {"paper": paper, "uses": request.uses, "asked_of": "Directorate", "asked_on": "2026-11-21"}
    return {
        "use_request": request, "recipient": request.recipient,
        "question": ProviderQuestion.objects.create(request=request, recorded_by=by, **asked),
        "use_decision": RequestDecision.objects.create(request=request, is_approved=False, answer=4, decided_by=by),
        "way_decision": WayDecision.objects.create(
            request=request, layer=5, reason="None is needed.", evidence="Act 12", decided_by=by
        ),
        "silence": SilenceRule.objects.create(reading=2, reason="Board, 2024"),
        "listing": CitesListing.objects.create(
            name="Ornithoptera", appendix="II", source="Appendices", checked_on="2026-11-20"
        ),
    }  # fmt: skip


every_address = pytest.mark.parametrize("address", guarded(), ids=lambda address: address.name)


def test_there_is_something_to_sweep() -> None:
    """Names by which other rooms and the documents know the pages."""
    names = {address.name for address in addresses()}
    assert {"verdicts:today", "verdicts:specimen", "papers:paper", "material:accession", "sites:site"} <= names
    assert {"intake:batch", "people:account", "people:people", "people:agents", "people:sign-in"} <= names
    assert len(names) == len(addresses()), "two addresses of one name"


@every_address
def test_address_asks_for_a_verb(address: Address) -> None:
    verb = getattr(address.callback, "required_verb", None)
    assert isinstance(verb, Verb), "decorate the view with @requires(Verb...), or list it in OPEN_TO_STRANGERS"


def test_what_is_open_is_there() -> None:
    assert set(OPEN_TO_STRANGERS) <= {address.name for address in addresses()}


def visit(client: Client, path: str, method: str) -> HttpResponse:
    """One request, undone afterwards: what a page changes must not reach the next."""
    with transaction.atomic():
        answer: HttpResponse = getattr(client, method)(path)
        if answer.streaming:
            b"".join(answer)  # type: ignore[call-overload]  # it may fail only when it is read
        transaction.set_rollback(True)
    return answer


BOTH = ("get", "post")


def answers_of(client: Client, path: str, methods: tuple[str, ...] = BOTH) -> dict[str, HttpResponse]:
    """The answers to reading and to sending nothing, but for "this method is not taken"."""
    answers = {method: visit(client, path, method) for method in methods}
    return {method: answer for method, answer in answers.items() if answer.status_code != 405}


_SESSIONS: dict[tuple[str, bool], str] = {}
"""Keys of the sessions of each role, active and deactivated, that last as long as the rows of a module."""


def signed_in(role: str, *, is_active: bool = True) -> Client:
    client = Client()
    key = _SESSIONS.get((role, is_active)) or _session_of(role, is_active)
    client.cookies[settings.SESSION_COOKIE_NAME] = key
    return client


def _session_of(role: str, is_active: bool) -> str:
    """The key of a session that is open, for somebody of that role."""
    client = Client()
    name = f"sweeping-{role}" if is_active else f"gone-{role}"
    client.force_login(register.person(role, username=name, is_active=is_active))
    key: str = client.cookies[settings.SESSION_COOKIE_NAME].value
    return key


@every_address
def test_stranger_is_sent_to_sign_in(address: Address, rows: Rows) -> None:
    """And so is a deactivated administrator whose session is still open."""
    path = reverse(address.name, kwargs=rows.of(address))
    for client in (Client(), signed_in(Role.ADMINISTRATOR, is_active=False)):
        answers = [visit(client, path, method) for method in ("get", "post")]
        taken = [answer for answer in answers if answer.status_code != 405]
        assert taken, "neither GET nor POST is taken"
        assert all(is_sent_to_sign_in(answer) for answer in taken)


def is_sent_to_sign_in(answer: HttpResponse) -> bool:
    return answer.status_code == 302 and answer["Location"].startswith(reverse("people:sign-in") + "?next=/")


@pytest.mark.django_db
@every_address
def test_roles_get_as_far_as_their_verbs(address: Address, rows: Rows, on_second_database: bool) -> None:
    """Without the verb: 403 for reading and sending. With it: no refusal and no failure, even without data.

    What comes without data is answered alike whoever may send it: one of them sends, the others read where they can.
    On the second database one role that gets there is enough: whether the queries of the page can be asked.
    The page that the first of them reads has its frame.
    """
    path = reverse(address.name, kwargs=rows.of(address))
    verb = address.callback.required_verb  # type: ignore[attr-defined]
    first = next(role for role in Role if verb in VERBS_OF_ROLE[role])
    wrong: dict[str, Any] = {}
    for role in [first] if on_second_database else list(Role):
        others = verb in VERBS_OF_ROLE[role] and role != first
        client = signed_in(role)
        answers = (answers_of(client, path, ("get",)) if others else {}) or answers_of(client, path)
        codes = {answer.status_code for answer in answers.values()}
        if address.name in OF_THE_SENDER and verb in VERBS_OF_ROLE[role]:
            as_it_should = codes == {404}
        elif verb in VERBS_OF_ROLE[role]:
            as_it_should = bool(codes) and not codes & {401, 403, 404, 500}
        else:
            as_it_should = codes == {403}
        if not as_it_should:
            wrong[str(role)] = codes
        if role == first and "get" in answers:
            wrong |= {fault: path for fault in faults_of_frame(answers["get"])}
    assert wrong == {}


def faults_of_frame(answer: HttpResponse) -> Iterator[str]:
    """One heading of the first rank, a title of its own, an answer before all detail, and no key twice."""
    if answer.status_code != 200 or not answer["Content-Type"].startswith("text/html"):
        return
    text = answer.content.decode()
    if len(re.findall(r"<h1\b", text)) != 1:
        yield "not one heading of the first rank"
    if not re.search(r"<title>\s*[^\s·].*? · Fieldwrit</title>", text, re.DOTALL):
        yield "no title of its own"
    if not re.search(r'class="[^"]*\banswer\b', text):
        yield "no answer"
    yield from (f"twice: {key}" for key, times in Counter(re.findall(r'\sid="([^"]*)"', text)).items() if times > 1)
    policy = {part.strip() for part in answer["Content-Security-Policy"].split(";")}
    missing = {"default-src 'self'", "object-src 'none'", "frame-ancestors 'none'", "form-action 'self'"} - policy
    yield from (f"policy without {part}" for part in sorted(missing))
    yield from (f"unsafe policy: {part}" for part in sorted(policy) if "unsafe" in part)


def test_faults_of_a_frame_are_seen() -> None:
    """Else the sweep of frames could not fail."""
    answer = HttpResponse('<title> · Fieldwrit</title><h1>a</h1><p id="b"></p><h1 id="b">c</h1>')
    answer["Content-Security-Policy"] = "default-src 'self'; object-src 'none'; form-action 'self'; img-src unsafe-x"
    assert list(faults_of_frame(answer)) == [
        "not one heading of the first rank", "no title of its own", "no answer", "twice: b",
        "policy without frame-ancestors 'none'", "unsafe policy: img-src unsafe-x",
    ]  # fmt: skip


# Actions --------------------------------------------------------------------------------------------------------------


ACTIONS: dict[str, Verb] = {
    "audit.make": Verb.EXPORT,
    "audit.kept_file": Verb.EXPORT,
    "audit.adopt_rule": Verb.EDIT_HOUSE_RULES,
    "audit.state_end": Verb.DISPOSE,
    "audit.withdraw_end": Verb.DISPOSE,
    "audit.dispose": Verb.DISPOSE,
    "audit.minimise": Verb.DISPOSE,
    "audit.note_as_right": Verb.DECIDE,
    "audit.take_note_back": Verb.DECIDE,
    "audit.ask_to_count": Verb.ASSESS,
    "audit.save_question": Verb.KEEP_QUESTIONS,
    "audit.change_question": Verb.KEEP_QUESTIONS,
    "audit.remove_question": Verb.KEEP_QUESTIONS,
    "audit.put_back": Verb.KEEP_QUESTIONS,
    "audit.follow": Verb.KEEP_QUESTIONS,
    "audit.ask_again": Verb.KEEP_QUESTIONS,
    "audit.note_head": Verb.KEEP_SEAL,
    "audit.ask_to_check": Verb.KEEP_SEAL,
    "audit.check_now": Verb.KEEP_SEAL,
    "audit.keep_check": Verb.KEEP_SEAL,
    "audit.seal_late": Verb.KEEP_SEAL,
    "intake.receive": Verb.PREPARE_INTAKE,
    "intake.map_columns": Verb.PREPARE_INTAKE,
    "intake.confirm_dates": Verb.PREPARE_INTAKE,
    "intake.choose_accession": Verb.PREPARE_INTAKE,
    "intake.answer_changes": Verb.PREPARE_INTAKE,
    "intake.discard": Verb.PREPARE_INTAKE,
    "intake.commit": Verb.COMMIT_INTAKE,
    "intake.load_file": Verb.COMMIT_INTAKE,
    "intake.take_back": Verb.REMOVE_SPECIMENS,
    "material.create_accession": Verb.ENTER_FACTS,
    "material.change_accession": Verb.ENTER_FACTS,
    "material.create_part": Verb.ENTER_FACTS,
    "material.change_part": Verb.ENTER_FACTS,
    "material.create_delivery": Verb.ENTER_FACTS,
    "material.change_delivery": Verb.ENTER_FACTS,
    "material.receive_delivery": Verb.ENTER_FACTS,
    "material.correct_receipt": Verb.ENTER_FACTS,
    "material.put_into_quarantine": Verb.ENTER_FACTS,
    "material.release": Verb.RELEASE_MATERIAL,
    "material.take_release_back": Verb.RELEASE_MATERIAL,
    "material.give_new_accession": Verb.ENTER_FACTS,
    "material.join_accession": Verb.ENTER_FACTS,
    "material.move_to_part": Verb.LINK_PAPERS,
    "material.attach_events": Verb.ENTER_FACTS,
    "material.change_specimen": Verb.ENTER_FACTS,
    "material.change_event": Verb.ENTER_FACTS,
    "material.determine": Verb.ENTER_FACTS,
    "material.enter_specimen": Verb.ENTER_FACTS,
    "material.remove_specimen": Verb.REMOVE_SPECIMENS,
    "names.load_taxa": Verb.ENTER_FACTS,
    "papers.preview_import": Verb.REGISTER_PAPERS,
    "papers.import_papers": Verb.REGISTER_PAPERS,
    "papers.receive_file": Verb.REGISTER_PAPERS,
    "papers.take_file": Verb.REGISTER_PAPERS,
    "papers.register": Verb.REGISTER_PAPERS,
    "papers.edit_face": Verb.REGISTER_PAPERS,
    "papers.add_version": Verb.REGISTER_PAPERS,
    "papers.amend_version": Verb.REGISTER_PAPERS,
    "papers.remove_version": Verb.REGISTER_PAPERS,
    "papers.add_status": Verb.REGISTER_PAPERS,
    "papers.remove_status": Verb.REGISTER_PAPERS,
    "papers.restrict": Verb.RESTRICT,
    "papers.link": Verb.LINK_PAPERS,
    "papers.unlink": Verb.LINK_PAPERS,
    "papers.record_continuation": Verb.REGISTER_PAPERS,
    "papers.change_continuation": Verb.REGISTER_PAPERS,
    "papers.remove_continuation": Verb.REGISTER_PAPERS,
    "papers.add_title": Verb.DECIDE,
    "papers.change_title": Verb.DECIDE,
    "papers.remove_title": Verb.DECIDE,
    "papers.file_scan": Verb.ATTACH_SCANS,
    "papers.file_drop": Verb.ATTACH_SCANS,
    "papers.set_ranges": Verb.ATTACH_SCANS,
    "papers.take_off": Verb.ATTACH_SCANS,
    "papers.saved_from_scan": Verb.REGISTER_PAPERS,
    "papers.set_pages": Verb.REGISTER_PAPERS,
    "papers.save_terms": Verb.REGISTER_PAPERS,
    "scans.receive": Verb.ATTACH_SCANS,
    "scans.begin": Verb.ATTACH_SCANS,
    "scans.append": Verb.ATTACH_SCANS,
    "scans.finish": Verb.ATTACH_SCANS,
    "scans.abandon": Verb.ATTACH_SCANS,
    "scans.take_in": Verb.ATTACH_SCANS,
    "scans.take_in_loose": Verb.ATTACH_SCANS,
    "scans.file_scans": Verb.ATTACH_SCANS,
    "scans.file_drop": Verb.ATTACH_SCANS,
    "scans.sort": Verb.ATTACH_SCANS,
    "scans.take_off": Verb.ATTACH_SCANS,
    "scans.read_again": Verb.ATTACH_SCANS,
    "scans.mark": Verb.ATTACH_SCANS,
    "scans.withdraw_mark": Verb.ATTACH_SCANS,
    "people.add_person": Verb.MANAGE_PEOPLE,
    "people.edit_person": Verb.MANAGE_PEOPLE,
    "people.change_role": Verb.MANAGE_PEOPLE,
    "people.deactivate": Verb.MANAGE_PEOPLE,
    "people.reactivate": Verb.MANAGE_PEOPLE,
    "people.set_password": Verb.MANAGE_PEOPLE,
    "people.change_own_password": Verb.READ,
    "people.add_agent": Verb.ENTER_FACTS,
    "people.edit_agent": Verb.ENTER_FACTS,
    "people.add_name_form": Verb.ENTER_FACTS,
    "people.remove_name_form": Verb.ENTER_FACTS,
    "sites.create_site": Verb.ENTER_FACTS,
    "sites.change_site": Verb.ENTER_FACTS,
    "sites.add_period": Verb.ENTER_FACTS,
    "sites.change_period": Verb.ENTER_FACTS,
    "sites.remove_period": Verb.ENTER_FACTS,
    "verdicts.cover_parts": Verb.LINK_PAPERS,
    "verdicts.attach_to_accessions": Verb.LINK_PAPERS,
    "verdicts.assess": Verb.ASSESS,
    "verdicts.ask_for_assessment": Verb.ASSESS,
    "verdicts.change_house_rules": Verb.EDIT_HOUSE_RULES,
    "verdicts.overrule": Verb.OVERRULE,
    "verdicts.withdraw": Verb.OVERRULE,
    "verdicts.agree": Verb.REVIEW_DECISIONS,
    "verdicts.refuse": Verb.REVIEW_DECISIONS,
    "verdicts.decide": Verb.DECIDE,
    "verdicts.withdraw_decision": Verb.DECIDE,
    "verdicts.record_searches": Verb.RECORD_SEARCHES,
    "verdicts.start_sheet": Verb.EDIT_SHEETS,
    "verdicts.start_sheets": Verb.EDIT_SHEETS,
    "verdicts.change_sheet": Verb.EDIT_SHEETS,
    "verdicts.stamp_sheet": Verb.EDIT_SHEETS,
    "verdicts.add_rule": Verb.EDIT_SHEETS,
    "verdicts.add_rules": Verb.EDIT_SHEETS,
    "guide.skip_step": Verb.EDIT_SHEETS,
    "guide.take_up_step": Verb.EDIT_SHEETS,
    "verdicts.end_rule": Verb.EDIT_SHEETS,
    "verdicts.follow_rule": Verb.EDIT_SHEETS,
    "verdicts.correct_rule": Verb.EDIT_SHEETS,
    "verdicts.withdraw_rule": Verb.EDIT_SHEETS,
    "material.make_pool": Verb.ENTER_FACTS,
    "duties.add_promise": Verb.KEEP_DUTIES,
    "duties.edit_promise": Verb.KEEP_DUTIES,
    "duties.close_promise": Verb.KEEP_DUTIES,
    "duties.take_up_again": Verb.KEEP_DUTIES,
    "duties.add_given": Verb.KEEP_DUTIES,
    "duties.edit_given": Verb.KEEP_DUTIES,
    "duties.void_given": Verb.KEEP_DUTIES,
    "duties.add_deposit": Verb.KEEP_DUTIES,
    "duties.edit_deposit": Verb.KEEP_DUTIES,
    "duties.void_deposit": Verb.KEEP_DUTIES,
    "reports.make_link": Verb.SHARE_REPORTS,
    "reports.change_link": Verb.SHARE_REPORTS,
    "reports.revoke": Verb.SHARE_REPORTS,
    "reports.mark_message": Verb.SHARE_REPORTS,
    "duties.mark_done": Verb.KEEP_DUTIES,
    "duties.mark_several_done": Verb.KEEP_DUTIES,
    "duties.accept": Verb.KEEP_DUTIES,
    "duties.take_back": Verb.KEEP_DUTIES,
    "duties.waive": Verb.WAIVE_DUTIES,
    "duties.take_waiver_back": Verb.WAIVE_DUTIES,
    "duties.assign": Verb.KEEP_DUTIES,
    "duties.set_note": Verb.KEEP_DUTIES,
    "duties.received_proof": Verb.ATTACH_SCANS,
    "duties.new_address": Verb.EXPORT,
    "duties.end_address": Verb.READ,
    "duties.set_wish": Verb.READ,
    "duties.add_rule": Verb.KEEP_DUTIES,
    "duties.change_rule": Verb.KEEP_DUTIES,
    "duties.end_rule": Verb.KEEP_DUTIES,
    "duties.set_house": Verb.EDIT_HOUSE_RULES,
    "duties.work_out": Verb.KEEP_DUTIES,
    "usedesk.received": Verb.ATTACH_SCANS,
    "usedesk.add_request": Verb.TAKE_REQUESTS,
    "usedesk.edit_request": Verb.TAKE_REQUESTS,
    "usedesk.answer_request": Verb.TAKE_REQUESTS,
    "usedesk.take_answer_back": Verb.TAKE_REQUESTS,
    "usedesk.close_request": Verb.TAKE_REQUESTS,
    "usedesk.reopen_request": Verb.TAKE_REQUESTS,
    "usedesk.add_recipient": Verb.TAKE_REQUESTS,
    "usedesk.edit_recipient": Verb.TAKE_REQUESTS,
    "usedesk.scan_codes": Verb.TAKE_REQUESTS,
    "usedesk.take_out_again": Verb.TAKE_REQUESTS,
    "usedesk.choose": Verb.TAKE_REQUESTS,
    "usedesk.look_again": Verb.TAKE_REQUESTS,
    "usedesk.add_items": Verb.TAKE_REQUESTS,
    "usedesk.remove_items": Verb.TAKE_REQUESTS,
    "usedesk.put_back": Verb.TAKE_REQUESTS,
    "usedesk.ask": Verb.TAKE_REQUESTS,
    "usedesk.take_question_back": Verb.TAKE_REQUESTS,
    "usedesk.record_reply": Verb.REGISTER_PAPERS,
    "usedesk.keep_label": Verb.TAKE_REQUESTS,
    "usedesk.decide": Verb.APPROVE_USES,
    "usedesk.approve_all": Verb.APPROVE_USES,
    "usedesk.withdraw_decision": Verb.APPROVE_USES,
    "usedesk.decide_way": Verb.APPROVE_USES,
    "usedesk.withdraw_way": Verb.APPROVE_USES,
    "usedesk.set_house": Verb.EDIT_HOUSE_RULES,
    "usedesk.add_silence_rule": Verb.EDIT_HOUSE_RULES,
    "usedesk.change_silence_rule": Verb.EDIT_HOUSE_RULES,
    "usedesk.remove_silence_rule": Verb.EDIT_HOUSE_RULES,
    "usedesk.set_footing_rule": Verb.EDIT_HOUSE_RULES,
    "usedesk.remove_footing_rule": Verb.EDIT_HOUSE_RULES,
    "usedesk.add_listing": Verb.EDIT_HOUSE_RULES,
    "usedesk.change_listing": Verb.EDIT_HOUSE_RULES,
    "usedesk.end_listing": Verb.EDIT_HOUSE_RULES,
    "usedesk.take_listings": Verb.EDIT_HOUSE_RULES,
    "usedesk.record_use": Verb.RECORD_USES,
    "usedesk.edit_use": Verb.RECORD_USES,
    "usedesk.void_use": Verb.RECORD_USES,
    "usedesk.take_back": Verb.RECORD_USES,
    "usedesk.undo_return": Verb.RECORD_USES,
    "usedesk.extend": Verb.RECORD_USES,
    "usedesk.add_remedy": Verb.RECORD_USES,
    "usedesk.edit_remedy": Verb.RECORD_USES,
    "usedesk.end_remedy": Verb.RECORD_USES,
    "usedesk.take_up_again": Verb.RECORD_USES,
    "usedesk.add_sequences": Verb.RECORD_USES,
    "usedesk.remove_sequence": Verb.RECORD_USES,
    "plans.add_plan": Verb.PLAN_TRIPS,
    "plans.edit_plan": Verb.PLAN_TRIPS,
    "plans.close_plan": Verb.PLAN_TRIPS,
    "plans.reopen_plan": Verb.PLAN_TRIPS,
    "plans.copy_plan": Verb.PLAN_TRIPS,
    "plans.add_stop": Verb.PLAN_TRIPS,
    "plans.edit_stop": Verb.PLAN_TRIPS,
    "plans.remove_stop": Verb.PLAN_TRIPS,
    "plans.move_stop": Verb.PLAN_TRIPS,
    "plans.take_stops": Verb.PLAN_TRIPS,
    "plans.add_way_home": Verb.PLAN_TRIPS,
    "plans.edit_way_home": Verb.PLAN_TRIPS,
    "plans.remove_way_home": Verb.PLAN_TRIPS,
    "plans.give_notice": Verb.PLAN_TRIPS,
    "plans.take_off_notice": Verb.PLAN_TRIPS,
    "plans.add_application": Verb.PLAN_TRIPS,
    "plans.edit_application": Verb.PLAN_TRIPS,
    "plans.ask": Verb.PLAN_TRIPS,
    "plans.promise": Verb.PLAN_TRIPS,
    "plans.refuse": Verb.PLAN_TRIPS,
    "plans.give_up": Verb.PLAN_TRIPS,
    "plans.grant": Verb.PLAN_TRIPS,
    "plans.undo_step": Verb.PLAN_TRIPS,
    "plans.add_scans": Verb.ATTACH_SCANS,
    "plans.take_scan_off": Verb.ATTACH_SCANS,
    "plans.turn_into_accession": Verb.PLAN_TRIPS,
    "plans.join_accession": Verb.PLAN_TRIPS,
    "plans.leave_accession": Verb.PLAN_TRIPS,
    "plans.attach": Verb.LINK_PAPERS,
    "plans.take_off": Verb.LINK_PAPERS,
    "plans.decide": Verb.DECIDE,
    "plans.withdraw_decision": Verb.DECIDE,
    "plans.sign_off": Verb.SIGN_OFF_PLANS,
    "plans.withdraw_sign_off": Verb.SIGN_OFF_PLANS,
    "reports.add_draft": Verb.WRITE_REPORTS,
    "reports.edit_draft": Verb.WRITE_REPORTS,
    "reports.write_texts": Verb.WRITE_REPORTS,
    "reports.correct": Verb.WRITE_REPORTS,
    "reports.discard": Verb.WRITE_REPORTS,
    "reports.compose_now": Verb.WRITE_REPORTS,
    "reports.ask_to_compose": Verb.WRITE_REPORTS,
    "reports.difference_to_today": Verb.READ,
    "reports.compare_now": Verb.READ,
    "reports.ask_to_compare": Verb.READ,
    "reports.issue": Verb.ISSUE_REPORTS,
    "reports.ask_to_issue": Verb.ISSUE_REPORTS,
    "reports.withdraw": Verb.ISSUE_REPORTS,
    "reports.send": Verb.ISSUE_REPORTS,
    "reports.void": Verb.ISSUE_REPORTS,
}
"""Whose right each action asks for. An action that is new is written down here, by hand."""

ALSO: dict[str, frozenset[Verb]] = {
    "plans.turn_into_accession": frozenset({Verb.ENTER_FACTS, Verb.LINK_PAPERS}),
}
"""What an action that does several things at once asks for beside it."""


def lets_in(name: str, role: str) -> bool:
    return {ACTIONS[name], *ALSO.get(name, ())} <= VERBS_OF_ROLE[role]


_STORES = "stores what an action of papers has checked"
_TAKES_UP = "works out what a change has touched; whoever may change a fact sets it off"
INNER: dict[str, str] = {
    "material.take_out": "removes rows inside the transaction of an action that has asked",
    "verdicts.let_go": "lets go what hangs on specimens, inside the action that removes them",
    "usedesk.put_in": "writes the rows inside the transaction of an action that has asked",
    "usedesk.open_remedy": "opens what a use outside the terms starts, inside the action that records it",
    "usedesk.extracts": "enters what an extraction made, inside the action that records it",
    "papers.add_links": _STORES,
    "papers.new_links": _STORES,
    "papers.create_links": _STORES,
    "papers.end_links": _STORES,
    "papers.store_new": _STORES,
    "papers.store_versions": _STORES,
    "papers.store_changes": _STORES,
    "papers.change_version": _STORES,
    "papers.change_row": _STORES,
    "papers.create_rows": _STORES,
    "papers.store_uses": _STORES,
    "papers.change_uses": _STORES,
    "papers.refresh_restriction": "keeps a scan in step with its papers, for what files it or restricts a paper",
    "verdicts.run_selection": "judges what ``assess`` or ``take_up`` has chosen",
    "duties.catch_up": _TAKES_UP,
    "duties.refuse_closed_papers": "asks for the paper alone, inside an action that has asked for the verb",
    "duties.with_promise": "reads the promise that an action names, after it has asked",
    "duties.catch_up_soon": _TAKES_UP,
    "duties.held_house": "holds the one row by which two runs go one after the other, inside an action that has asked",
    "verdicts.take_up": _TAKES_UP,
    "verdicts.take_up_soon": _TAKES_UP,
    "reports.held_draft": "locks a draft inside the transaction of an action that has asked",
    "reports.held_issued": "locks an issued report inside the transaction of an action that has asked",
    "reports.begin_work": "marks a draft for an action that has asked",
    "reports.in_background": "leaves to the worker what an action has asked for; the worker's action asks again",
    "reports.composed_from_register": "composes for an action that has asked; writes nothing",
    "reports.fulfil": "meets the duty that a report answers, inside the action that records the sending",
    "reports.unmeet": "takes that back, inside the action that voids a sending or withdraws the report",
    "duties.follow_again": "works one duty out again inside the action that takes back what became of it",
    "reports.put_in_force": "puts rows in force inside the transaction of an action that has asked",
    "reports.keep_composed": "saves a draft inside the transaction of an action that has asked",
    "plans.keep_rows": "keeps groups and traps in step with what an action on their stop was given",
    "plans.let_go": "takes a stop off its applications, for the action that removes it",
    "scans.empty_scans": "empties scans inside the action of the audit that disposes, which has asked",
    "plans.keep_version": "keeps what an action on a plan has changed, inside its transaction",
}
"""Functions with ``by`` that ask for no right, each with the reason; but for those that take up, no page calls them."""


OF_THE_MACHINE = {
    "audit.keep_check": "the command of the night checks without a person; ``by`` is None then",
    "verdicts.assess": "the demo and the command judge without a person; ``by`` is None then",
    "duties.work_out": "the command of the day works without a person; ``by`` is None then",
}
"""Actions that nobody at all may call, each with the reason."""


def modules_of_actions() -> Iterator[str]:
    for half in (accessions, governance):
        for module in pkgutil.walk_packages(half.__path__, f"{half.__name__}."):
            if "actions" in module.name.split("."):
                yield module.name


@cache
def discovered() -> dict[str, Callable[..., Any]]:
    """Public functions with ``by`` of the modules of actions: {"room.name": function}."""
    found: dict[str, Callable[..., Any]] = {}
    for module in modules_of_actions():
        for name, value in vars(importlib.import_module(module)).items():
            if not inspect.isfunction(value) or name.startswith("_") or value.__module__ != module:
                continue
            if "by" in inspect.signature(value).parameters:
                found[f"{module.split('.')[1]}.{name}"] = value
    return found


def test_every_action_is_listed() -> None:
    """With its verb, or with the reason why it asks for none."""
    assert sorted(discovered()) == sorted({**ACTIONS, **INNER})


def call(action: Callable[..., Any], by: Any) -> None:
    """Call an action with stand-ins that hold nothing, and undo whatever it did."""
    positional, named = [], {}
    for name, parameter in inspect.signature(action).parameters.items():
        if parameter.default is not parameter.empty or parameter.kind is parameter.VAR_KEYWORD:
            continue
        value = by if name == "by" else ("a reason" if name == "why" else MagicMock())
        if parameter.kind is parameter.KEYWORD_ONLY:
            named[name] = value
        else:
            positional.append(value)
    with transaction.atomic():
        try:
            action(*positional, **named)
        finally:
            transaction.set_rollback(True)


@pytest.mark.django_db
@pytest.mark.parametrize("name", sorted(ACTIONS))
def test_action_refuses_who_may_not(name: str) -> None:
    """Each role without the verb, a deactivated person with it, a stranger, and nobody."""
    action = discovered()[name]
    allowed = next(role for role in Role if lets_in(name, role))
    refused: list[Any] = [register.person(role) for role in Role if not lets_in(name, role)]
    refused += [register.person(allowed, username="gone", is_active=False), AnonymousUser()]
    refused += [] if name in OF_THE_MACHINE else [None]
    for by in refused:
        with pytest.raises(NotAllowedError):
            call(action, by)


@pytest.mark.django_db
@pytest.mark.parametrize("name", sorted(ACTIONS))
def test_action_lets_in_who_may(name: str) -> None:
    """It may fail on the nothing that it is given, but not for want of a right."""
    for role in Role:
        if lets_in(name, role):
            try:
                call(discovered()[name], register.person(role))
            except NotAllowedError:
                pytest.fail(f"{role} was refused")
            except Exception:
                continue


def test_pages_call_no_inner_action() -> None:
    """What asks for no right is called by an action that did."""
    inner = {name.split(".")[1] for name, reason in INNER.items() if reason != _TAKES_UP}
    callers = [
        path
        for half in ("accessions", "governance")
        for path in (PROJECT / half).rglob("*.py")
        if {"views", "management", "templatetags"} & {*path.parts, path.stem}
    ]
    found = [
        f"{path.relative_to(PROJECT)}: {alias.name}"
        for path in callers
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.ImportFrom) and "actions" in (node.module or "").split(".")
        for alias in node.names
        if alias.name in inner
    ]
    assert callers
    assert found == []
