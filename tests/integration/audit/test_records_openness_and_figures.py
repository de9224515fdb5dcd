"""TRADE 7.4, questions 26 (who can see) and 28 (figures of a report), and what changed since a day."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from accessions.people.access import role_bits
from accessions.people.history import record, remove
from accessions.people.models import Role
from accessions.sites.models import Site
from governance.audit.asking import Asked, UnknownValueError
from governance.audit.models import Opening
from governance.audit.questions import QUESTION
from governance.papers.models import Paper, PaperLink
from governance.reports.contents import Disclosure
from governance.reports.models import Report, ReportTable, ShareReport, ShareVisit
from governance.scans.models import Scan
from tests.factories import register, reports, scans
from tests.integration.audit.put import TODAY, column, links, put, table, told

pytestmark = pytest.mark.django_db

REGISTRARS = role_bits([Role.REGISTRAR])


def closed_paper(reference: str = "ABS-1") -> Paper:
    return register.paper(reference, restricted_to=REGISTRARS, restricted_why="by contract")


class TestWhoCanSee:
    def test_roles_with_their_people(self) -> None:
        """Everybody who signs in reads localities and owners; who was shut out does not count."""
        for role in (Role.CURATOR, Role.AUDITOR):
            register.person(role)
        register.person(Role.VOLUNTEER, username="gone", is_active=False)
        found = put("who-can-see", show="people")
        assert found.sentence.startswith("3 people who sign in can see exact localities and the names of owners")
        rows = column(found, "sort", "which", "people")
        assert ("Role", "Volunteer", 0) in rows and ("Role", "Registrar", 1) in rows
        assert ("Person", "Nora Auditor", 1) in rows and len(rows) == 6 + 3

    def test_restricted_papers_and_scans_with_their_openings(self) -> None:
        paper, curator = closed_paper(), register.person(Role.CURATOR)
        scan = scans.scan(b"closed", stored=False, original_name="Zzsecret.pdf", restricted_to=REGISTRARS)
        scans.scan(b"open", stored=False)
        registrar = register.person(Role.REGISTRAR)
        for _number in range(2):
            Opening.objects.create(paper=paper, place="papers:paper", opened_by=registrar)
        found = put("who-can-see", show="restricted")
        assert column(found, "which", "who", "people", "opened") == [
            ("ABS-1", "Registrar", 1, 2), ("Zzsecret.pdf", "Registrar", 1, 0),
        ]  # fmt: skip
        theirs = put("who-can-see", curator.role, show="restricted")
        assert column(theirs, "which") == ["ABS-1", f"#{scan.pk}"]

    def test_shared_pages_and_reports_that_disclose(self) -> None:
        """An open page, one whose last day was yesterday, and one about a paper that is closed to the reader; a report
        with exact places that the open page offers, and one that names neither."""
        open_one = reports.share_link(name="Nazvri office")
        reports.share_link(name="Ended", open_until=TODAY - timedelta(1))
        reports.share_link(name="Zzsecret", paper=closed_paper())
        exact = reports.issued_report(reference="RP-EXACT", addressee="The office\nin Nazvri")
        reports.issued_report(reference="RP-NONE", told={"disclosure": Disclosure("provider", "none")})
        ShareReport.objects.create(link=open_one, report=exact)
        ShareVisit.objects.create(link=open_one, what="page")
        found = put("who-can-see", Role.AUDITOR, show="shared", on=timezone.localdate())
        assert column(found, "sort", "which", "places", "owners", "opened") == [
            ("Shared page", "Nazvri office", "names of sites, no positions", "no", 1),
            ("Issued report", "RP-EXACT", "yes", "no", None),
        ]
        assert column(found, "who")[1] == "The office; shared page for Nazvri office"
        assert found.kept_back == ("1 shared page is about a paper that is not open to you.",)
        assert "Zzsecret" not in told(found)

    def test_queries(self, django_assert_num_queries: DjangoAssertNumQueries) -> None:
        """The same with more rows: nothing is asked for each."""
        register.person(Role.REGISTRAR)
        for number in range(3):
            closed_paper(f"ABS-{number}")
            reports.share_link(name=f"Page {number}")
            reports.issued_report()
        with django_assert_num_queries(13):
            table(put("who-can-see"))


class TestReportFigures:
    def test_all_hold(self) -> None:
        """The factory's report: one figure, how many rows of material there are: two."""
        report = reports.stored_draft()
        found = put("report-figures", report=report.reference)
        assert found.sentence == (
            f"The one figure of {report.reference} holds: it was counted again from its rows. It is a draft: composing "
            "it anew may change them."
        )
        assert column(found, "said", "counted", "holds", "rows") == [("2", "2", "yes", 2)]
        assert links(found, "rows") == [f"/reports/{report.pk}/rows/material/"]

    def test_a_figure_that_somebody_changed(self) -> None:
        """Written past the application: the report says three, its rows are two. And the digest does not hold."""
        report = reports.issued_report()
        assert report.contents is not None
        report.contents["figures"][0]["value"] = "3"
        Report.objects.filter(pk=report.pk).update(contents=report.contents)
        found = put("report-figures", report=report.reference)
        assert "1 of 1 figures" in found.sentence and "does not hold: Specimens" in found.sentence
        assert "What is kept is not what was issued" in found.sentence
        assert column(found, "said", "counted", "holds") == [("3", "2", "no")] and found.count == 1

    def test_rows_that_are_gone(self) -> None:
        report = reports.issued_report()
        ReportTable.objects.filter(report=report).delete()
        assert column(put("report-figures", report=report.reference), "counted", "holds", "rows") == [("", "no", None)]

    def test_about_a_closed_paper(self) -> None:
        """Whoever may not read the paper learns that there is such a report, as nobody hides numbers of reports."""
        report = reports.stored_draft(kind="agency", paper=closed_paper())
        found = put("report-figures", Role.CURATOR, report=report.reference)
        assert found.rows.between(0, 9) == () and "not open to you" in found.sentence
        assert "registrars" in found.kept_back[0]

    def test_not_composed(self) -> None:
        assert "no figures" in put("report-figures", report=reports.draft(reference="RP-0").reference).sentence


def noted_on(day: datetime, history: Any, **which: Any) -> None:
    history.filter(**which).update(history_date=day)


class TestChangedSince:
    @pytest.fixture(autouse=True)
    def changes(self) -> None:
        """A site that a registrar entered in September, changed on 20 November and removed today; a paper that a
        curator entered and linked on 20 November; a closed paper by the timer."""
        nora, ek = register.person(Role.REGISTRAR), register.person(Role.CURATOR)
        site = Site(code="SE-1", code_key="se-1", name="Old name")
        record(site, by=nora, why="entered")
        site.name = "Weir"
        record(site, by=nora, why="name corrected", fields=["name"])
        key = site.pk
        remove(site, by=nora, why="entered twice")
        paper = Paper(reference="COL-1", kind="collecting-permit", layers=2)
        record(paper, by=ek, why="entered")
        closed = Paper(reference="ABS-1", kind="access-permit", layers=16, restricted_to=REGISTRARS, restricted_why="x")
        record(closed, by=None, why="Zzsecret")
        link = PaperLink.objects.create(paper=paper, accession=register.accession(), linked_by=ek)
        day = datetime(2026, 11, 20, 12, tzinfo=UTC)
        sites: Any = Site.history  # type: ignore[attr-defined]
        noted_on(datetime(2026, 9, 1, tzinfo=UTC), sites, id=key, history_type="+")
        noted_on(day, sites, id=key, history_type="~")
        noted_on(datetime(2026, 11, 26, tzinfo=UTC), sites, id=key, history_type="-")
        noted_on(day, Paper.history, id__in=[paper.pk, closed.pk])  # type: ignore[attr-defined]
        PaperLink.objects.filter(pk=link.pk).update(linked_at=day)

    def test_by_kind_and_person(self) -> None:
        """Thirty days before 26 November is 27 October: what was entered in September stays out."""
        found = put("changed-since")
        rows = {(row["kind"], row["by"]): row for row in table(found)}
        columns = ("changes", "added", "changed", "removed")
        assert [rows["Site", "Nora Registrar"][key] for key in columns] == [2, 0, 1, 1]
        assert [rows["Paper", "Nora Curator"][key] for key in columns] == [1, 1, 0, 0]
        assert [rows["Paper", "the register"][key] for key in columns] == [1, 1, 0, 0]
        assert [rows["Link of a paper", "Nora Curator"][key] for key in columns] == [1, 1, 0, 0]
        assert "since 27 October 2026, by 2 people." in found.sentence
        address = links(found, "changes")[column(found, "kind").index("Site")]
        assert address.endswith("?since=2026-10-27&kind=sites.site&by=registrar")

    @pytest.mark.parametrize(("values", "sites"), [
        ({"since": "2026-11-26"}, [(0, 1)]), ({"since": "2026-08-01"}, [(1, 1)]), ({"by": "curator"}, []),
        ({"by": "0"}, []), ({"by": "registrar"}, [(0, 1)]),
    ])  # fmt: skip
    def test_narrowed(self, values: dict[str, str], sites: list[tuple[int, int]]) -> None:
        rows = column(put("changed-since", **values), "kind", "added", "removed")
        assert [(added, removed) for kind, added, removed in rows if kind == "Site"] == sites

    def test_each_change_of_a_kind(self) -> None:
        found = put("changed-since", kind="sites.site")
        assert column(found, "did", "record", "by", "why") == [
            ("removed", "SE-1", "Nora Registrar", "entered twice"),
            ("changed", "SE-1", "Nora Registrar", "name corrected"),
        ]
        assert links(found, "record")[0].startswith("/audit/history/sites.site/")

    def test_links_by_their_own_dates(self) -> None:
        assert column(put("changed-since", kind="papers.paperlink"), "did", "of", "by") == [
            ("added", "COL-1", "Nora Curator")
        ]  # fmt: skip

    def test_a_closed_paper_tells_that_it_changed(self) -> None:
        found = put("changed-since", Role.CURATOR, kind="papers.paper")
        assert ("added", "not open to you") in column(found, "did", "why") and "Zzsecret" not in told(found)
        assert "Zzsecret" in told(put("changed-since", kind="papers.paper"))

    def test_as_known_then(self) -> None:
        """What was entered after the moment was not known: the removal of today is not there yesterday."""
        moment = datetime(2026, 11, 25, tzinfo=UTC)
        asked = Asked({"kind": "sites.site"}, TODAY, register.person(Role.REGISTRAR), moment)
        answer = QUESTION["changed-since"].answer(asked)
        assert column(answer, "did") == ["changed"]

    def test_no_such_kind(self) -> None:
        with pytest.raises(UnknownValueError, match="no kind of record"):
            put("changed-since", kind="papers.zz")

    def test_queries(self, django_assert_num_queries: DjangoAssertNumQueries) -> None:
        """The reader, one query over all histories, the people."""
        with django_assert_num_queries(3):
            put("changed-since", since=date(2026, 8, 1))


def test_a_scan_that_was_opened_counts_as_scan() -> None:
    """The log names a scan or a paper; each counts for itself."""
    scan = scans.scan(b"closed", stored=False, restricted_to=REGISTRARS)
    Opening.objects.create(scan=scan, place="scans:scan", opened_by=register.person(Role.REGISTRAR))
    assert column(put("who-can-see", show="restricted"), "opened") == [1]
    assert Scan.objects.count() == 1
