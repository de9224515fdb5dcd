"""The pages of reports: list, new, preview with its rows, files, issuing, sending; each with its refusals."""

from __future__ import annotations

import csv
import io
import zipfile
from datetime import date, timedelta
from types import SimpleNamespace
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import override
from openpyxl import load_workbook
from pytest_django import DjangoAssertNumQueries

from accessions.people.access import role_bits
from accessions.people.models import Role
from governance.duties.models import Duty, DutyRule
from governance.reports import composing as composers
from governance.reports import naming, tasks
from governance.reports.contents import Proof
from governance.reports.models import Report, ReportChunk, ReportFile
from governance.reports.naming import column_name
from governance.reports.queries.behind import OWN_NAMES
from governance.reports.queries.one_report import query_of, rows_address
from governance.reports.queries.sizes import AT_ONCE
from governance.reports.queries.stored import substance
from governance.reports.tables import COLUMNS
from tests.factories import register, reports

pytestmark = pytest.mark.django_db

TODAY = timezone.localdate()


def client(role: str = Role.REGISTRAR) -> Client:
    made = Client()
    made.force_login(register.person(role))
    return made


@pytest.fixture
def said(monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    """What the register says, by table."""
    told: dict[str, Any] = {"material": [reports.material(1), reports.material(2)]}

    def compose(report: Report, *, reader: Any, today: date, progress: Any) -> Any:
        return reports.composed(report, dict(told), made_on=today.isoformat())

    monkeypatch.setattr(composers, "compose", compose)
    return told


def page(address: str, role: str = Role.REGISTRAR) -> str:
    answer = client(role).get(address)
    assert answer.status_code == 200
    return answer.content.decode()


# List -----------------------------------------------------------------------------------------------------------------


def test_list_is_narrowed_by_what_reports_are(said: dict[str, Any]) -> None:
    georgia, sweden = reports.draft(reference="RP-A"), reports.issued_report(reference="RP-B", country="SE")
    sent = reports.issued_report(reference="RP-C", kind="agency", paper=register.paper(), period_to=date(2024, 12, 31),
                                 period_from=None)  # fmt: skip
    reports.sending(sent)
    for query, wanted in {
        "": {georgia, sweden, sent}, "state=draft": {georgia}, "state=issued": {sweden}, "state=sent": {sent},
        "state=withdrawn": set(), "country=GE": {georgia, sent}, "kind=agency": {sent}, "year=2024": {sent},
        "q=COL-2024": {sent}, "q=RP-B": {sweden},
    }.items():  # fmt: skip
        answer = client().get(f"{reverse('reports:reports')}?{query}")
        assert {line[0] for line in answer.context["lines"]} == wanted, query


def test_list_takes_as_many_queries_for_one_as_for_many(django_assert_num_queries: DjangoAssertNumQueries) -> None:
    someone = client()
    reports.draft()
    for count in (1, 4):
        for _one in range(count):
            reports.sending(reports.issued_report(paper=register.paper(f"P-{Report.objects.count()}"), kind="agency"))
        with django_assert_num_queries(9):
            someone.get(reverse("reports:reports"))


def test_list_as_csv() -> None:
    reports.sending(reports.issued_report(reference="RP-C", title="=1+1"))
    answer = client(Role.AUDITOR).get(reverse("reports:reports-csv"))
    text = b"".join(answer).decode("utf-8-sig")  # type: ignore[call-overload]
    (row,) = csv.DictReader(io.StringIO(text))
    assert (row["report"], row["state"], row["sent on"], row["title"]) == ("RP-C", "sent", TODAY.isoformat(), "'=1+1")


def test_list_as_workbook() -> None:
    """Read back by openpyxl: days are days, and what looks like a formula is text."""
    reports.issued_report(reference="RP-C", title="=1+1")
    answer = client(Role.AUDITOR).get(reverse("reports:reports-xlsx"))
    head, row = load_workbook(io.BytesIO(b"".join(answer))).active.iter_rows()  # type: ignore[call-overload, union-attr]
    told = {name.value: cell for name, cell in zip(head, row, strict=True)}
    assert (told["report"].value, told["title"].value, told["title"].data_type) == ("RP-C", "=1+1", "s")
    assert told["issued on"].value.date() == TODAY


def test_shared_pages_as_csv() -> None:
    reports.share_link(name="Nazvri Directorate")
    answer = client(Role.AUDITOR).get(reverse("reports:shares-csv"))
    (row,) = csv.DictReader(io.StringIO(b"".join(answer).decode("utf-8-sig")))  # type: ignore[call-overload]
    assert (row["for whom"], row["about"], row["state"], row["opened"]) == (
        "Nazvri Directorate",
        "Georgia",
        "open",
        "0",
    )


# New ------------------------------------------------------------------------------------------------------------------


def test_new_report_offers_last_year_the_next_duty_and_the_language() -> None:
    """For a Brazilian permit: Portuguese (official there), the return of 2026 by 31 January 2027, its year."""
    paper = register.paper("BR-1", jurisdiction="BR")
    rule = DutyRule.objects.create(paper=paper, kind="return", what="Return", when="each-year", month_day="01-31")
    later, duty = (
        Duty.objects.create(
            source=f"rule-{rule.pk}", occurrence=str(year), rule=rule, paper=paper, kind="return", what="Return",
            due_on=date(year + 1, 1, 31), about_from=date(year, 1, 1), about_to=date(year, 12, 31),
        )
        for year in (2027, 2026)
    )  # fmt: skip
    answer = client().get(f"{reverse('reports:report-new')}?kind=agency&paper={paper.pk}")
    initial = answer.context["form"].initial
    assert (initial["duty"], initial["language"]) == (str(duty.pk), "pt")
    assert (initial["period_from"], initial["period_to"]) == (date(2026, 1, 1), date(2026, 12, 31))
    other = client().get(f"{reverse('reports:report-new')}?kind=provider&country=GE").context["form"].initial
    assert (other["period_from"], other["duty"]) == (date(TODAY.year - 1, 1, 1), "")
    assert later.pk != duty.pk
    for kind in ("landowner", "diligence", "certificate"):
        bare = client().get(f"{reverse('reports:report-new')}?kind={kind}").context["form"].initial
        assert (bare["period_from"], bare["period_to"]) == (None, None), "it tells of all years"


def test_duties_of_the_subject_are_offered_first() -> None:
    """A return of the paper itself before that of another country, which stands below a head."""
    papers = [register.paper("GE-1"), register.paper("BR-1", jurisdiction="BR")]
    own, other = (
        Duty.objects.create(source=f"test-{paper.pk}", occurrence="1", paper=paper, kind="return", what="Return",
                            due_on=date(2027, 1, 31))
        for paper in papers
    )  # fmt: skip
    form = client().get(f"{reverse('reports:report-new')}?kind=agency&paper={papers[0].pk}").context["form"]
    none, first, (head, others) = form.fields["duty"].choices
    assert (none[0], first[0], head) == ("", str(own.pk), "Of another subject")
    assert [key for key, _words in others] == [str(other.pk)]


def typed(**values: Any) -> dict[str, Any]:
    return {"reference": "RP-2026-001", "country": "GE", "period_from": "2025-01-01", "period_to": "2025-12-31",
            "language": "en", "parts": ["material", "uses"]} | values  # fmt: skip


def test_new_report_is_composed_at_once(said: dict[str, Any]) -> None:
    answer = client().post(f"{reverse('reports:report-new')}?kind=provider", typed())
    made = Report.objects.get()
    assert answer["Location"] == reverse("reports:report", args=[made.pk])
    assert made.composed_at is not None
    assert "map" in made.left_out
    assert not {"material", "uses", "exceptions", "unknown"} & set(made.left_out)


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"country": ""}, "Say what it is about: country or paper"),
        ({"paper": "COL-2024-052"}, "leave country or paper blank"),
        ({"country": "", "paper": "X-1"}, "No paper has the reference"),
        ({"period_to": "2024-12-31"}, "is before"),
        ({"period_from": ""}, "required"),
        ({"reference": "RP-OLD"}, "is taken"),
    ],
)
def test_new_report_refuses_in_words(values: dict[str, str], words: str) -> None:
    register.paper("COL-2024-052")
    reports.draft(reference="RP-OLD")
    answer = client().post(f"{reverse('reports:report-new')}?kind=provider", typed(**values))
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert Report.objects.count() == 1


def test_large_report_is_left_to_the_worker(
    said: dict[str, Any], monkeypatch: pytest.MonkeyPatch, django_capture_on_commit_callbacks: Any
) -> None:
    """Its draft has more rows than a person waits for; the page says how far it is, and then goes on to the report."""
    report = reports.stored_draft()
    report.tables.filter(key="material").update(row_count=AT_ONCE + 1)
    asked: list[Any] = []
    monkeypatch.setattr(tasks, "compose_report", SimpleNamespace(enqueue=lambda *told: asked.append(told)))
    someone = client()
    with django_capture_on_commit_callbacks(execute=True):
        answer = someone.post(reverse("reports:report-compose", args=[report.pk]))
    assert answer["Location"] == reverse("reports:report-progress", args=[report.pk])
    assert len(asked) == 1
    Report.objects.filter(pk=report.pk).update(work="running", work_step="material", work_done=3000, work_total=200000)
    part = someone.get(answer["Location"], headers={"HX-Request": "true"}).content.decode()
    assert "Reading the material: 3,000 of 200,000" in part
    assert "<html" not in part
    Report.objects.filter(pk=report.pk).update(work="failed", work_step="The disk is full.")
    assert "The disk is full." in page(answer["Location"])
    Report.objects.filter(pk=report.pk).update(work="")
    done = someone.get(answer["Location"], headers={"HX-Request": "true"})
    assert done["HX-Redirect"] == reverse("reports:report", args=[report.pk])


# Preview and rows -----------------------------------------------------------------------------------------------------


def test_preview_links_a_figure_to_its_rows() -> None:
    report = reports.stored_draft()
    assert f'href="{reverse("reports:report-rows", args=[report.pk, "material"])}' in page(
        reverse("reports:report", args=[report.pk])
    )


def test_preview_and_draft_have_the_title_that_a_person_gave() -> None:
    report = reports.stored_draft(title="What we owe Nazvri")
    assert "<h2>What we owe Nazvri</h2>" in page(reverse("reports:report", args=[report.pk]))
    answer = client().get(reverse("reports:report-docx", args=[report.pk]))
    with zipfile.ZipFile(io.BytesIO(answer.content)) as packed:
        assert b"What we owe Nazvri" in packed.read("word/document.xml")


@pytest.mark.parametrize("count", [2, 30])
def test_page_of_a_report_asks_the_same_however_long(
    count: int, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    report = reports.stored_draft({"material": [reports.material(number) for number in range(count)]})
    someone = client()
    with django_assert_num_queries(10):
        someone.get(reverse("reports:report", args=[report.pk]))


def test_rows_say_how_they_make_the_figure() -> None:
    rows = [reports.material(n, now="on-loan" if n < 3 else "here", individuals=n) for n in range(60)]
    report = reports.stored_draft({"material": rows})
    address = rows_address(report, Proof("material", {"now": "on-loan"}))
    assert "These 3 rows make the figure 3." in page(address)
    added = rows_address(report, Proof("material", {"now": "on-loan"}, "sum:individuals"))
    assert "adds up to 3:" in page(added)  # 0 + 1 + 2
    different = rows_address(report, Proof("material", {}, "distinct:now"))
    assert "has 2 different values" in page(different)
    whole = client().get(reverse("reports:report-rows", args=[report.pk, "material"]))
    assert len(whole.context["lines"]) == 50


def test_rows_without_a_value_are_told_from_blank_ones() -> None:
    report = reports.stored_draft({"material": [reports.material(1, holder=None), reports.material(2, holder="")]})
    for value, number in ((None, "0000001"), ("", "0000002")):
        text = page(rows_address(report, Proof("material", {"holder": value})))
        assert f"LMN-FW-{number}" in text
        assert "This row makes the figure 1." in text


def test_rows_of_a_year() -> None:
    """As summaries by year link them: of days in 2023, 2024 and 2024 and of none, two are of 2024 and one of none."""
    days = ("2023-12-31", "2024-01-01", "2024-12-31", None)
    report = reports.stored_draft({"material": [reports.material(n, first_on=day) for n, day in enumerate(days)]})
    proof = Proof("material", {"year:first_on": "2024", "verdict": "covered"})
    answer = client().get(rows_address(report, proof))
    assert [line[0][0][-1] for line in answer.context["lines"]] == ["1", "2"]
    assert answer.context["where"] == [(f"{column_name('first_on')}, year", "2024"), ("Verdict", "Covered")]
    assert len(client().get(rows_address(report, Proof("material", {"year:first_on": None}))).context["lines"]) == 1
    refused = client().get(f"{reverse('reports:report-rows', args=[report.pk, 'material'])}?year:site=2024")
    assert refused.status_code == 400


def test_rows_begin_with_what_is_asked_and_leave_empty_columns_out() -> None:
    report = reports.stored_draft({"material": [reports.material(1, holder=None), reports.material(2, holder=None)]})
    kept = register.specimen("LMN-FW-0000001")
    answer = client().get(rows_address(report, Proof("material", {"now": "here"}, "sum:individuals")))
    keys = [key for key, _name, _number in answer.context["heads"]]
    assert keys[:3] == ["specimen", "individuals", "now"] and "holder" not in keys
    assert f'<a href="/specimens/{kept.pk}/">LMN-FW-0000001</a>' in answer.content.decode()


def test_rows_are_ordered_by_a_column_with_unknown_ones_last() -> None:
    rows = [reports.material(n, individuals=many) for n, many in enumerate((2, None, 10, 9))]
    report = reports.stored_draft({"material": rows})
    address = reverse("reports:report-rows", args=[report.pk, "material"])
    for sort, order in (("individuals", "0 3 2 1"), ("-individuals", "2 3 0 1")):
        lines = client().get(f"{address}?sort={sort}").context["lines"]
        assert " ".join(line[0][0][-1] for line in lines) == order


def test_address_that_the_table_does_not_have_is_answered_in_words() -> None:
    report = reports.stored_draft()
    address = reverse("reports:report-rows", args=[report.pk, "material"])
    answer = client().get(f"{address}?colour=red&individuals=many&sort=size&measure=sum:weight")
    assert answer.status_code == 400
    text = answer.content.decode()
    for words in ("no column “colour”", "“many” is no whole number", "by “size”", "“sum:weight” is no measure"):
        assert words in text
    assert client().get(reverse("reports:report-rows", args=[report.pk, "nothing"])).status_code == 404


def test_no_column_is_called_as_the_page_calls_its_own() -> None:
    """Else an address could not say which it means."""
    assert not OWN_NAMES & {column.key for columns in COLUMNS.values() for column in columns}


def test_query_holds_what_a_proof_names() -> None:
    assert (
        query_of(Proof("x", {"now": "on-loan", "holder": None}, "sum:n"))
        == "?now=on-loan&without=holder&measure=sum%3An"
    )


def test_rows_as_csv() -> None:
    report = reports.stored_draft({"material": [reports.material(1, now="on-loan"), reports.material(2)]})
    address = reverse("reports:report-rows-csv", args=[report.pk, "material"])
    text = b"".join(client(Role.AUDITOR).get(f"{address}?now=here")).decode("utf-8-sig")  # type: ignore[call-overload]
    (row,) = csv.DictReader(io.StringIO(text))
    assert (row["specimen"], row["individuals"]) == ("LMN-FW-0000002", "1")
    assert client(Role.VOLUNTEER).get(address).status_code == 403


def test_rows_as_workbook() -> None:
    """Read back by openpyxl: numbers and days as such."""
    report = reports.stored_draft({"material": [reports.material(1, now="on-loan"), reports.material(2)]})
    address = reverse("reports:report-rows-xlsx", args=[report.pk, "material"])
    answer = client(Role.AUDITOR).get(f"{address}?now=here")
    head, row = load_workbook(io.BytesIO(b"".join(answer))).active.iter_rows()  # type: ignore[call-overload, union-attr]
    told = {name.value: cell.value for name, cell in zip(head, row, strict=True)}
    assert (told["specimen"], told["individuals"], told["latitude_deg"]) == ("LMN-FW-0000002", 1, 42.084)
    assert told["first_on"].date() == date(2024, 6, 17)
    assert client(Role.VOLUNTEER).get(address).status_code == 403


# Issued ---------------------------------------------------------------------------------------------------------------


def issued(said: dict[str, Any]) -> Report:
    report = reports.stored_draft()
    answer = client().post(
        reverse("reports:report-issue", args=[report.pk]), {"seen": substance(report), "looked": "on"}
    )
    assert answer.status_code == 302
    return Report.objects.get(pk=report.pk)


def test_nobody_issues_without_having_looked(said: dict[str, Any]) -> None:
    report = reports.stored_draft({"exceptions": [reports.row_of("exceptions", specimen="LMN-FW-0000001")]})
    address = reverse("reports:report-issue", args=[report.pk])
    assert "1 exception is told in it" in page(address)
    answer = client().post(address, {"seen": substance(report)})
    assert answer.status_code == 422
    assert Report.objects.get().issued_at is None


def test_change_since_the_preview_is_shown_before_it_is_issued(said: dict[str, Any]) -> None:
    report = reports.stored_draft()
    address = reverse("reports:report-issue", args=[report.pk])
    seen = substance(report)
    said["material"] = [reports.material(1)]
    answer = client().post(address, {"seen": seen, "looked": "on"}, follow=True)
    text = answer.content.decode()
    assert Report.objects.get().issued_at is None
    assert "What changed since you looked" in text
    assert "LMN-FW-0000002" in text
    again = client().post(address, {"seen": answer.context["form"].initial["seen"], "looked": "on"})
    assert again["Location"] == reverse("reports:report", args=[report.pk])
    assert Report.objects.get().issued_at is not None


def test_issued_page_reads_only_what_is_kept(said: dict[str, Any], monkeypatch: pytest.MonkeyPatch) -> None:
    """The register changes, and composing would fail: the page and the rows are what they were."""
    report = issued(said)
    paths = [reverse("reports:report", args=[report.pk]), reverse("reports:report-rows", args=[report.pk, "material"])]
    before = [_main(page(path)) for path in paths]
    register.specimen(accession=register.accession("LMN-LATER"))
    said["material"] = []
    monkeypatch.setattr(composers, "compose", lambda *_told, **_more: pytest.fail("the register was read"))
    assert [_main(page(path)) for path in paths] == before


def _main(text: str) -> str:
    """A page without its tokens."""
    return "\n".join(line for line in text.splitlines() if "csrfmiddlewaretoken" not in line)


def test_files_come_byte_for_byte_and_their_hashes_are_shown(said: dict[str, Any]) -> None:
    report = issued(said)
    for file in ReportFile.objects.filter(report=report):
        answer = client(Role.AUDITOR).get(reverse("reports:report-file", args=[report.pk, file.format]))
        assert answer.content == bytes(file.data)
        assert answer["Cache-Control"] == "private, no-store"
        assert file.sha256 in page(reverse("reports:report", args=[report.pk]))
    assert client().get(reverse("reports:report-docx", args=[report.pk]))["Location"].endswith("/files/docx/")


def test_hashes_are_worked_out_again_on_demand(said: dict[str, Any]) -> None:
    report = issued(said)
    address = f"{reverse('reports:report', args=[report.pk])}?check=1"
    assert "does not hold" not in page(address)
    assert page(address).count(">holds<") == 4  # the whole, two files, one table
    chunk = ReportChunk.objects.get(table__report=report)
    ReportChunk.objects.filter(pk=chunk.pk).update(data=ReportChunk.objects.get(
        table__report=reports.stored_draft({"material": [reports.material(8), reports.material(9)]})).data)  # fmt: skip
    assert page(address).count("does not hold") == 1


def test_sending_and_voiding_by_their_pages(said: dict[str, Any]) -> None:
    report = issued(said)
    address = reverse("reports:report-send", args=[report.pk])
    assert client().post(address, {"sent_on": TODAY.isoformat()}).status_code == 422
    ahead = (TODAY + timedelta(days=1)).isoformat()
    told = {"to_whom": "Nazvri Directorate", "how": "e-mail", "proof": "Message 17"}
    assert "lies ahead" in client().post(address, told | {"sent_on": ahead}).content.decode()
    client().post(address, told | {"sent_on": TODAY.isoformat()})
    entry = report.sendings.get()
    assert "Sent on" in page(reverse("reports:report", args=[report.pk]))
    client().post(reverse("reports:sending-void", args=[entry.pk]), {"why": "It came back."})
    assert "It came back." in page(reverse("reports:report", args=[report.pk]))


def test_differences_to_today(said: dict[str, Any]) -> None:
    report = issued(said)
    address = reverse("reports:report-differences", args=[report.pk])
    assert "Nothing differs." in page(address)
    said["material"] = [reports.material(1), reports.material(2, now="on-loan"), reports.material(3)]
    text = page(address)
    assert "1 came" in text
    assert "1 changed" in text


# Restricted -----------------------------------------------------------------------------------------------------------


def test_report_about_a_restricted_paper_is_for_its_readers(said: dict[str, Any]) -> None:
    """Page, rows, files, list, and a new one about it."""
    paper = register.paper("LND-1", restricted_to=role_bits([Role.REGISTRAR]), restricted_why="A name")
    report = reports.issued_report(kind="agency", paper=paper, reference="RP-CLOSED")
    reports.file(report)
    for name, more in (("report", ()), ("report-rows", ("material",)), ("report-file", ("docx",)),
                       ("report-differences", ())):  # fmt: skip
        address = reverse(f"reports:{name}", args=[report.pk, *more])
        assert client(Role.AUDITOR).get(address).status_code == 403
        assert client().get(address).status_code == 200
    assert "RP-CLOSED" not in page(reverse("reports:reports"), Role.AUDITOR)
    assert "RP-CLOSED" in page(reverse("reports:reports"))
    new = f"{reverse('reports:report-new')}?kind=agency"
    refused = client(Role.CURATOR).post(new, typed(paper="LND-1"))
    assert "Restricted: open to registrars." in refused.content.decode()


@pytest.mark.parametrize(("reader", "shown"), [("es", "es"), ("en-gb", "en"), ("fi", "en")])
def test_names_on_pages_are_in_the_language_of_the_reader(reader: str, shown: str) -> None:
    """Not in that of the report; a language without words falls back on English."""
    with override(reader):
        assert naming.words().code == shown
