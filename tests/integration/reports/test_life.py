"""From draft to issued, sent, withdrawn, corrected: what each step keeps, refuses, and never touches again."""

from __future__ import annotations

import hashlib
from datetime import date, timedelta
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import override

from accessions.people.access import NotAllowedError
from accessions.people.models import Role, User
from governance.duties.actions import doing
from governance.duties.models import Duty, DutyRule
from governance.reports import composing as composers
from governance.reports.actions import drafting, sending
from governance.reports.actions.comparing import ask_to_compare, difference_to_today
from governance.reports.actions.errors import ReportChangedError, ReportError
from governance.reports.actions.issuing import issue, withdraw
from governance.reports.contents import ColumnType, Fact, MapData, Note
from governance.reports.models import Report, ReportChunk, ReportFile, ReportTable
from governance.reports.queries.differences import Differences
from governance.reports.queries.listing import next_reference
from governance.reports.queries.offered import can_answer
from governance.reports.queries.seals import seals_of
from governance.reports.queries.stored import stored, substance, table_of
from governance.reports.writing import docx, workbook
from tests.factories import register, reports

pytestmark = pytest.mark.django_db

TODAY = timezone.localdate()


@pytest.fixture
def registrar() -> User:
    return register.person(Role.REGISTRAR)


@pytest.fixture
def said(monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    """What the register says, by table, and of contents. Files are short texts: what they hold is tested elsewhere."""
    told: dict[str, Any] = {"rows": {"material": [reports.material(1), reports.material(2)]}, "contents": {}}

    def compose(report: Report, *, reader: Any, today: Any, progress: Any) -> Any:
        return reports.composed(report, told["rows"], made_on=today.isoformat(), **told["contents"])

    monkeypatch.setattr(composers, "compose", compose)
    monkeypatch.setattr(docx, "report_docx", lambda _composed, _language, **told: f"docx {told['draft']}".encode())
    monkeypatch.setattr(workbook, "report_workbook", lambda composed, language, *, made_at: b"xlsx")
    return told


def asked_for(paper: Any = None, **values: Any) -> Duty:
    """A duty to report by 31 January 2027, as working out writes it."""
    rule = DutyRule.objects.create(paper=paper, kind="report", what="Report", when="each-year", month_day="01-31")
    return Duty.objects.create(**{
        "source": f"rule-{rule.pk}", "occurrence": "2026", "rule": rule, "paper": paper, "kind": "report",
        "what": "Report", "due_on": date(2027, 1, 31),
    } | values)  # fmt: skip


def how_sent(**values: Any) -> dict[str, Any]:
    return {
        "sent_on": TODAY,
        "to_whom": "Nazvri Directorate",
        "how": "registered mail",
        "proof": "Receipt 4711.",
    } | values


# Drafts ---------------------------------------------------------------------------------------------------------------


def test_numbers_go_on_from_the_highest_of_the_year(registrar: User) -> None:
    reports.draft(reference="RP-2026-009")
    reports.draft(reference="RP-2026-010x")
    reports.draft(reference="RP-2025-044")
    assert next_reference(date(2026, 3, 1)) == "RP-2026-010"
    assert next_reference(date(2027, 1, 1)) == "RP-2027-001"


def test_draft_is_begun_with_its_history(registrar: User) -> None:
    values = {"reference": "RP-2026-001", "country": "GE", "left_out": ["map"]}
    made = drafting.add_draft(kind="provider", values=values, by=registrar)
    entry = made.history.get()
    assert (entry.history_user, entry.history_change_reason) == (registrar, "begun")
    assert made.left_out == ["map"]


@pytest.mark.parametrize(("part", "words"), [("exceptions", "cannot be left out"), ("fields", "no such part")])
def test_parts_that_must_stand_stay(registrar: User, part: str, words: str) -> None:
    with pytest.raises(ReportError, match=words):
        drafting.add_draft(
            kind="provider", values={"reference": "R", "country": "GE", "left_out": [part]}, by=registrar
        )


def test_texts_are_kept_by_key_and_blank_ones_go(registrar: User) -> None:
    report = reports.draft(texts={"closing": "Yours."})
    assert drafting.write_texts(report=report, texts={"introduction": " We write. ", "closing": ""}, by=registrar)
    report.refresh_from_db()
    assert report.texts == {"introduction": "We write."}
    assert not drafting.write_texts(report=report, texts={"introduction": "We write."}, by=registrar)
    with pytest.raises(ValueError, match="no texts"):
        drafting.write_texts(report=report, texts={"thanks": "x"}, by=registrar)


def test_discarded_draft_leaves_its_history(registrar: User) -> None:
    report = reports.stored_draft(by=registrar)
    key = report.pk
    drafting.discard(report=report, by=registrar, why="begun twice")
    assert not Report.objects.filter(pk=key).exists()
    assert not ReportTable.objects.exists()
    assert Report.history.filter(id=key).first().history_change_reason == "begun twice"


# Issued ---------------------------------------------------------------------------------------------------------------


def test_issued_report_keeps_rows_files_and_hashes(said: dict[str, Any], registrar: User) -> None:
    report = issue(report=reports.stored_draft(by=registrar), by=registrar)
    files = {file.format: file for file in ReportFile.objects.filter(report=report)}
    assert bytes(files["docx"].data) == b"docx False"
    assert files["xlsx"].sha256 == hashlib.sha256(b"xlsx").hexdigest()
    assert (report.issued_by, report.work, len(report.digest)) == (registrar, "", 64)
    assert files["docx"].name == f"{report.reference.lower()}-en-{TODAY.isoformat()}.docx"
    assert all(seal.holds for seal in seals_of(Report.objects.get(pk=report.pk)))


def test_later_change_of_the_register_does_not_touch_it(said: dict[str, Any], registrar: User) -> None:
    report = issue(report=reports.stored_draft(by=registrar), by=registrar)
    said["rows"] = {"material": [reports.material(1)]}
    told = difference_to_today(report=report, by=registrar, today=TODAY)
    assert [(one.before, one.after) for one in told.figures] == [("2", "1")]
    fresh = Report.objects.get(pk=report.pk)
    assert stored(fresh).contents.figures[0].value == "2"
    for act in (
        lambda: drafting.edit_draft(report=report, values={"country": "SE"}, by=registrar, why="x"),
        lambda: drafting.write_texts(report=report, texts={"closing": "x"}, by=registrar),
        lambda: drafting.discard(report=report, by=registrar, why="x"),
        lambda: issue(report=report, by=registrar),
    ):
        with pytest.raises(ReportError, match="issued"):
            act()


def test_large_report_is_compared_in_the_background(
    said: dict[str, Any], registrar: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What differs is kept with the report for whoever looks next; the report and its history stay as they are."""
    report = issue(report=reports.stored_draft(by=registrar), by=registrar)
    said["rows"] = {"material": [reports.material(1)]}
    entries = report.history.count()
    ask_to_compare(report=report, by=registrar)
    assert Report.objects.get(pk=report.pk).changed is None, "it is not large"
    monkeypatch.setattr("governance.reports.actions.comparing.is_large", lambda report: True)
    ask_to_compare(report=report, by=registrar)
    fresh = Report.objects.get(pk=report.pk)
    told = Differences.from_json(fresh.changed or {})
    assert [(one.before, one.after) for one in told.figures] == [("2", "1")]
    assert (fresh.digest, fresh.history.count()) == (report.digest, entries)


def test_hash_tells_what_was_changed_behind_its_back(said: dict[str, Any], registrar: User) -> None:
    """A row, a file and the contents, each past all actions."""
    report = issue(report=reports.stored_draft(by=registrar), by=registrar)
    said["rows"] = {"material": [reports.material(9), reports.material(2)]}
    other = issue(report=reports.stored_draft(by=registrar), by=registrar)
    swapped = ReportChunk.objects.get(table__report=other).data
    ReportChunk.objects.filter(table__report=report).update(data=swapped)
    ReportFile.objects.filter(report=report, format="xlsx").update(data=b"other")
    broken = {(seal.kind, seal.name) for seal in seals_of(report) if not seal.holds}
    assert broken == {("table", "material"), ("file", "xlsx")}
    other.contents = {**(other.contents or {}), "subject": "Sweden"}
    assert [seal.kind for seal in seals_of(other) if not seal.holds] == ["report"]


def test_it_is_not_issued_if_it_says_another_thing_than_was_seen(said: dict[str, Any], registrar: User) -> None:
    report = reports.stored_draft(by=registrar)
    seen = substance(report)
    said["rows"] = {"material": [reports.material(2), reports.material(3, now="on-loan"), reports.material(4)]}
    with pytest.raises(ReportChangedError, match="another thing today"):
        issue(report=report, by=registrar, seen=seen)
    report.refresh_from_db()
    assert (report.issued_at, report.work) == (None, "")
    told = Differences.from_json(report.changed or {})
    (table,) = told.tables
    assert (table.before, table.after, table.added, table.gone, table.changed) == (2, 3, 2, 1, 0)
    assert [row[0] for row in table.gone_rows] == ["LMN-FW-0000001"]
    assert len(table_of(report, "material").rows) == 3
    done = issue(report=report, by=registrar, seen=substance(report))
    assert (done.issued_at is not None, done.changed) == (True, None)


def test_day_alone_is_no_change(said: dict[str, Any], registrar: User) -> None:
    """Composed yesterday, the same today: the person who looked yesterday saw what is issued."""
    report = reports.stored_draft(by=registrar, told={"made_on": "2026-11-20"})
    assert issue(report=report, by=registrar, seen=substance(report)).issued_at is not None
    assert stored(Report.objects.get()).contents.made_on == TODAY.isoformat()


def test_file_that_cannot_be_written_stops_the_issue(said: dict[str, Any], registrar: User,
                                                      monkeypatch: pytest.MonkeyPatch) -> None:  # fmt: skip
    def broken(*_told: Any, **_more: Any) -> bytes:
        raise OSError("disk")

    monkeypatch.setattr(workbook, "report_workbook", broken)
    report = reports.stored_draft(by=registrar)
    with pytest.raises(ReportError, match="stopped by an error"):
        issue(report=report, by=registrar)
    report.refresh_from_db()
    assert (report.issued_at, report.work, ReportFile.objects.count()) == (None, "failed", 0)
    assert len(table_of(report, "material").rows) == 2


def test_issuing_asks_for_its_verb(said: dict[str, Any], registrar: User) -> None:
    report, curator = reports.stored_draft(by=registrar), register.person(Role.CURATOR)
    for act in (
        lambda: issue(report=report, by=curator),
        lambda: withdraw(report=report, by=curator, why="x"),
        lambda: sending.send(report=report, values=how_sent(), by=curator),
    ):
        with pytest.raises(NotAllowedError):
            act()


def test_withdrawn_report_stays_to_be_read(said: dict[str, Any], registrar: User) -> None:
    report = issue(report=reports.stored_draft(by=registrar), by=registrar)
    withdraw(report=report, by=registrar, why="Wrong year.")
    report.refresh_from_db()
    assert (report.withdrawn_why, report.withdrawn_by) == ("Wrong year.", registrar)
    assert all(seal.holds for seal in seals_of(report))
    with pytest.raises(ReportError, match="already"):
        withdraw(report=report, by=registrar, why="x")
    with pytest.raises(ReportError, match="not sent any more"):
        sending.send(report=report, values=how_sent(), by=registrar)


def test_corrected_one_begins_with_all_that_was_told(said: dict[str, Any], registrar: User) -> None:
    draft = reports.stored_draft(by=registrar, texts={"closing": "Yours."}, left_out=["map"], addressee="Directorate")
    with pytest.raises(ReportError, match="is a draft"):
        drafting.correct(report=draft, by=registrar)
    report = issue(report=draft, by=registrar)
    made = drafting.correct(report=report, by=registrar)
    assert (made.corrects, made.texts, made.left_out) == (report, {"closing": "Yours."}, ["map"])
    assert (made.addressee, made.contents, made.issued_at) == ("Directorate", None, None)
    assert made.reference == f"RP-{TODAY.year}-001"
    assert drafting.correct(report=report, by=registrar) == made


# Sent -----------------------------------------------------------------------------------------------------------------


def test_sending_does_the_duty_and_voiding_takes_it_back(said: dict[str, Any], registrar: User) -> None:
    duty = asked_for(register.paper())
    report = issue(report=reports.stored_draft(by=registrar, duty=duty), by=registrar)
    entry = sending.send(report=report, values=how_sent(), by=registrar)
    duty.refresh_from_db()
    assert (duty.done_on, duty.done_by) == (TODAY, registrar)
    assert report.reference in duty.done_how
    assert "Receipt 4711." in duty.done_how
    sending.void(sending=entry, by=registrar, why="It came back.")
    duty.refresh_from_db()
    entry.refresh_from_db()
    assert (duty.done_on, entry.voided_why) == (None, "It came back.")
    with pytest.raises(ReportError, match="voided already"):
        sending.void(sending=entry, by=registrar, why="x")


def test_what_was_sent_in_one_language_is_taken_back_in_another(said: dict[str, Any], registrar: User) -> None:
    """Else a duty would stay done by a report that never arrived."""
    duty = asked_for(register.paper())
    report = issue(report=reports.stored_draft(by=registrar, duty=duty), by=registrar)
    entry = sending.send(report=report, values=how_sent(), by=registrar)
    with override("es"):
        sending.void(sending=entry, by=registrar, why="No llegó.")
    duty.refresh_from_db()
    assert duty.done_on is None


def test_duty_stays_done_while_another_sending_shows_it(said: dict[str, Any], registrar: User) -> None:
    """Sent twice; the first entry was wrong. The duty is done by the second from then on."""
    duty = asked_for(register.paper())
    report = issue(report=reports.stored_draft(by=registrar, duty=duty), by=registrar)
    first = sending.send(report=report, values=how_sent(), by=registrar)
    sending.send(report=report, values=how_sent(how="their portal", proof="Number 9."), by=registrar)
    sending.void(sending=first, by=registrar, why="Never left.")
    duty.refresh_from_db()
    assert duty.done_on == TODAY
    assert "their portal" in duty.done_how


def test_duty_that_was_done_otherwise_is_left_alone(said: dict[str, Any], registrar: User) -> None:
    duty = asked_for(register.paper())
    doing.mark_done(duty=duty, on=TODAY, how="By letter, in the file.", by=registrar)
    report = issue(report=reports.stored_draft(by=registrar, duty=duty), by=registrar)
    entry = sending.send(report=report, values=how_sent(), by=registrar)
    sending.void(sending=entry, by=registrar, why="x")
    duty.refresh_from_db()
    assert duty.done_how == "By letter, in the file."


def test_sending_of_an_accepted_duty_is_not_voided(said: dict[str, Any], registrar: User) -> None:
    duty = asked_for(register.paper())
    report = issue(report=reports.stored_draft(by=registrar, duty=duty), by=registrar)
    entry = sending.send(report=report, values=how_sent(), by=registrar)
    doing.accept(duty=duty, on=TODAY, how="Letter of the Directorate", by=registrar)
    with pytest.raises(ReportError, match="accepted"):
        sending.void(sending=entry, by=registrar, why="x")
    entry.refresh_from_db()
    assert entry.voided_at is None


@pytest.mark.parametrize(("answer", "is_nil"), [("nil", True), ("cannot-tell", False), ("not-nil", False)])
def test_return_that_says_so_is_a_nil_return(said: dict[str, Any], registrar: User, answer: str, is_nil: bool) -> None:
    """None has a row of what was taken; whether nothing was, the return says itself."""
    paper = register.paper()
    duty = asked_for(paper, kind="return")
    said["rows"] = {"taken": []}
    said["contents"] = {"facts": (Fact("nil_return", answer, ColumnType.WORD, "nil_answers"),)}
    draft = reports.stored_draft({"taken": []}, by=registrar, kind="agency", paper=paper, duty=duty)
    sending.send(report=issue(report=draft, by=registrar), values=how_sent(), by=registrar)
    duty.refresh_from_db()
    assert duty.done_on == TODAY
    assert duty.is_nil is is_nil


def test_withdrawn_report_does_no_duty(said: dict[str, Any], registrar: User) -> None:
    """The duty is open again; the corrected report that was sent before that does it instead."""
    duty = asked_for(register.paper())
    first = issue(report=reports.stored_draft(by=registrar, duty=duty), by=registrar)
    sending.send(report=first, values=how_sent(), by=registrar)
    corrected = issue(report=drafting.correct(report=first, by=registrar), by=registrar)
    withdraw(report=first, by=registrar, why="Wrong numbers.")
    duty.refresh_from_db()
    assert duty.done_on is None
    sending.send(report=corrected, values=how_sent(), by=registrar)
    duty.refresh_from_db()
    assert corrected.reference in duty.done_how


def test_duty_goes_over_to_the_other_report_that_was_sent(said: dict[str, Any], registrar: User) -> None:
    duty = asked_for(register.paper())
    first = issue(report=reports.stored_draft(by=registrar, duty=duty), by=registrar)
    sending.send(report=first, values=how_sent(), by=registrar)
    corrected = issue(report=drafting.correct(report=first, by=registrar), by=registrar)
    sending.send(report=corrected, values=how_sent(), by=registrar)
    withdraw(report=first, by=registrar, why="Wrong numbers.")
    duty.refresh_from_db()
    assert duty.done_on == TODAY
    assert corrected.reference in duty.done_how


def test_report_of_an_accepted_duty_is_not_withdrawn(said: dict[str, Any], registrar: User) -> None:
    duty = asked_for(register.paper())
    report = issue(report=reports.stored_draft(by=registrar, duty=duty), by=registrar)
    sending.send(report=report, values=how_sent(), by=registrar)
    doing.accept(duty=duty, on=TODAY, how="Letter of the Directorate", by=registrar)
    with pytest.raises(ReportError, match="accepted"):
        withdraw(report=report, by=registrar, why="x")
    report.refresh_from_db()
    assert report.withdrawn_at is None


@pytest.mark.parametrize(
    ("jurisdiction", "kind"), [("SE", "report"), ("GE", "site"), ("GE", "benefit"), ("SE-AC", "return")]
)
def test_report_answers_no_duty_of_another_country_or_sort(
    said: dict[str, Any], registrar: User, jurisdiction: str, kind: str
) -> None:
    """Neither is it offered to a draft, nor done by a report of which it was chosen before."""
    duty = asked_for(register.paper(jurisdiction=jurisdiction), kind=kind)
    told = {"reference": "RP-X", "country": "GE", "period_from": TODAY, "period_to": TODAY, "duty": duty}
    with pytest.raises(ValidationError, match="does not answer that duty"):
        drafting.add_draft(kind="provider", values=told, by=registrar)
    draft = reports.stored_draft(by=registrar)
    with pytest.raises(ValidationError, match="does not answer that duty"):
        drafting.edit_draft(report=draft, values={"duty": duty}, by=registrar, why="x")
    draft.refresh_from_db()
    assert draft.duty is None
    report = issue(report=reports.stored_draft(by=registrar, duty=duty), by=registrar)
    assert sending.send(report=report, values=how_sent(), by=registrar).duty is None
    duty.refresh_from_db()
    assert duty.done_on is None


def test_duties_that_a_subject_answers(registrar: User) -> None:
    """Of its own paper; of what its owner gave; of papers on its accession; of the house alone, any."""
    owner, permit = register.agent("Elin Dahl"), register.paper("P-1")
    consent, accession = register.paper("LC-1", issuer_agent=owner), register.accession()
    register.specimen(accession=accession)
    register.link(permit, accession=accession)
    duties = {one.reference: asked_for(one) for one in (permit, consent)} | {"house": asked_for(None)}

    def answered(**about: Any) -> set[str]:
        report = reports.draft(**{"kind": "provider"} | about)
        return {name for name, duty in duties.items() if can_answer(duty, report)}

    assert answered(paper=permit) == {"P-1", "house"}
    assert answered(kind="landowner", agent=owner) == {"LC-1", "house"}
    assert answered(kind="diligence", accession=accession) == {"P-1", "house"}
    assert answered(country="GE") == {"P-1", "LC-1", "house"}
    assert answered(country="SE") == {"house"}


@pytest.mark.parametrize(
    ("on", "words"), [(timedelta(days=1), "lies ahead"), (timedelta(days=-1), "cannot have been sent")]
)
def test_day_of_sending_lies_between_issue_and_today(
    said: dict[str, Any], registrar: User, on: timedelta, words: str
) -> None:
    report = issue(report=reports.stored_draft(by=registrar), by=registrar)
    with pytest.raises(ValidationError, match=words):
        sending.send(report=report, values=how_sent(sent_on=TODAY + on), by=registrar)
    assert not report.sendings.exists()


# Differences ----------------------------------------------------------------------------------------------------------


def test_differences_by_key_counts_and_words(said: dict[str, Any], registrar: User) -> None:
    """Counted by hand: of 2 rows one changed its place, one went; 60 came, of which 50 are shown. A note differs."""
    report = issue(report=reports.stored_draft(by=registrar), by=registrar)
    said["rows"] = {"material": [reports.material(2, now="on-loan"), *(reports.material(n) for n in range(100, 160))]}
    said["contents"] = {"notes": (Note("no_place", "material", {"n": 1}),)}
    told = difference_to_today(report=report, by=registrar, today=TODAY)
    (table,) = told.tables
    assert (table.added, table.gone, table.changed, len(table.added_rows)) == (60, 1, 1, 50)
    assert table.changed_rows[0].cells == (("now", "here", "on-loan"),)
    assert told.words == ("notes",)
    assert Differences.from_json(told.as_json()) == told


def test_who_composed_it_and_when_is_no_difference(said: dict[str, Any], registrar: User) -> None:
    """Facts of the first page name both; the same register the next day, by somebody else, says the same."""
    said["contents"] = {"facts": (Fact("country", "GE"), Fact("author", "Jon Ek"), Fact("made_on", "2026-11-25"))}
    report = reports.stored_draft(by=registrar, told=said["contents"])
    seen = substance(report)
    said["contents"] = {"facts": (Fact("country", "GE"), Fact("author", "Maja Lind"), Fact("made_on", "2026-11-26"))}
    issued = issue(report=report, by=registrar, seen=seen)
    said["contents"] = {"facts": (Fact("country", "GE"), Fact("author", "Jon Ek"), Fact("made_on", "2026-11-27"))}
    assert difference_to_today(report=issued, by=registrar, today=TODAY + timedelta(1)).is_same


@pytest.mark.parametrize(
    ("contents", "word"),
    [
        ({"map": MapData((("Nazvri", "{}"),), ())}, "map"), ({"subject": "Peru"}, "subject"),
        ({"country": "PE"}, "subject"), ({"period_to": "2025-06-30"}, "period"),
        ({"facts": (Fact("country", "PE"),)}, "facts"),
    ],
)  # fmt: skip
def test_another_map_subject_or_period_is_a_difference(
    said: dict[str, Any], registrar: User, contents: dict[str, Any], word: str
) -> None:
    report = reports.stored_draft(by=registrar)
    said["contents"] = contents
    assert difference_to_today(report=report, by=registrar, today=TODAY).words == (word,)
