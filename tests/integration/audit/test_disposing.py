"""A paper goes after its day, by its rule and with a reason; what it was stays, and the seal holds."""

from __future__ import annotations

from datetime import date
from io import BytesIO
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils.formats import date_format

from accessions.names.models import WrittenName
from accessions.people.access import role_bits
from accessions.people.announcing import announce
from accessions.people.models import Role, User
from governance.audit.actions.disposing import dispose
from governance.audit.actions.errors import AuditError
from governance.audit.actions.keeping import adopt_rule, state_end, withdraw_end
from governance.audit.models import Disposal, UtilisationEnd
from governance.audit.queries.disposing import going
from governance.audit.queries.keeping import State, kept_paper
from governance.audit.queries.seal_checking import check_seal
from governance.engine.tables import Layer
from governance.papers.actions.title import add_title, remove_title
from governance.papers.models import Paper, PaperLink, PaperScan
from governance.scans.actions.receiving import receive
from governance.scans.models import Scan, ScanPage
from governance.scans.queries.intact import check_intact
from governance.scans.store import store
from tests.factories import register, scans, usedesk

pytestmark = pytest.mark.django_db

TODAY = date(2026, 11, 26)
WHY = "Twenty years have passed."


@pytest.fixture
def officer(django_capture_on_commit_callbacks: Any) -> User:
    with django_capture_on_commit_callbacks(execute=True):
        return register.person(Role.COMPLIANCE)


@pytest.fixture
def paper(officer: User, django_capture_on_commit_callbacks: Any) -> Paper:
    """Utilisation ended on 1 March 2006, so it was kept up to 1 March 2026; material given away; one scan, read."""
    with django_capture_on_commit_callbacks(execute=True):
        made = register.paper("PIC-1", (Layer.ACCESS,), kind="prior-informed-consent")
        specimen = register.specimen("LMN-1")
        announce(WrittenName, [specimen.name_id])
        register.link(made, by=officer, specimen=specimen)
        usedesk.made_use(specimen, deed="gift", on=date(2005, 1, 1))
        filed(made, scans.scan(scans.pdf()))
        adopt_rule(kind="abs", years=20, source="Reg. (EU) 511/2014, Art. 4(6)", by=officer, why="Adopted")
        state_end(paper=made, ended_on=date(2006, 3, 1), evidence="Report 9", by=officer, today=TODAY)
    return made


def filed(paper: Paper, scan: Scan) -> Scan:
    PaperScan.objects.create(paper=paper, scan=scan, name="permit.pdf", filed_by=register.person(Role.COMPLIANCE))
    ScanPage.objects.create(scan=scan, number=1, text="We permit")
    return scan


def disposed(paper: Paper, by: User, today: date = TODAY) -> Disposal:
    return dispose(paper=paper, why=WHY, seen=going(paper).seen, by=by, today=today)


def test_the_file_goes_and_the_record_stays(
    paper: Paper, officer: User, django_capture_on_commit_callbacks: Any
) -> None:  # fmt: skip
    """verify_seal and check_files_intact find nothing wrong before and after."""
    scan = Scan.objects.get()
    assert not check_seal().problems.count and store().exists(scan.stored_name)
    with django_capture_on_commit_callbacks(execute=True):
        made = disposed(paper, officer)
    scan.refresh_from_db()
    assert (made.due_on, made.files) == (
        date(2026, 3, 1), [{"name": scan.original_name, "size": scan.size_bytes, "sha256": scan.sha256}],
    )  # fmt: skip
    assert "511/2014" in made.rule and made.why == WHY
    assert not store().exists(scan.stored_name) and not ScanPage.objects.exists() and scan.disposed_on == TODAY
    assert PaperLink.objects.count() == 1 and kept_paper(paper, TODAY).state is State.DISPOSED
    assert check_intact().is_intact
    assert [str(one) for one in check_seal().problems.named] == []


def test_a_file_that_was_left_over_or_hidden_is_found(
    paper: Paper, officer: User, django_capture_on_commit_callbacks: Any
) -> None:  # fmt: skip
    """The store still holds what was disposed of; and a row says so of which no disposal tells."""
    scan = Scan.objects.get()
    disposed(paper, officer)  # not committed: the file is still there
    assert [one.stored_name for one in check_intact().orphaned] == [scan.stored_name]
    Disposal.objects.update(files=[])
    assert any("no disposal names it" in str(one) for one in check_seal().problems.named)


class TestRefused:
    @staticmethod
    def problem(paper: Paper, by: User, today: date = TODAY) -> str:
        with pytest.raises(AuditError) as error:
            disposed(paper, by, today)
        assert not Disposal.objects.exists() and Scan.objects.get().disposed_on is None
        return str(error.value)

    def test_before_its_day(self, paper: Paper, officer: User) -> None:
        """The last day of keeping is a day of keeping."""
        words = self.problem(paper, officer, date(2026, 3, 1))
        assert "is kept up to 1 March 2026" in words and "20 years after the end of utilisation" in words
        assert kept_paper(paper, date(2026, 3, 2)).state is State.MAY_GO

    def test_utilisation_open_material_held_or_title(self, paper: Paper, officer: User) -> None:
        register.link(paper, by=officer, specimen=register.specimen("LMN-2"))
        assert "1 specimen under it is still held" in self.problem(paper, officer)
        withdraw_end(of=UtilisationEnd.objects.get(), why="It went on", by=officer)
        assert "utilisation is open" in self.problem(paper, officer)
        Paper.objects.update(kind="deed-of-gift")
        assert "kept for ever" in self.problem(paper, officer)

    def test_what_was_not_seen(self, paper: Paper, officer: User) -> None:
        with pytest.raises(AuditError, match="something else by now"):
            dispose(paper=paper, why=WHY, seen="", by=officer, today=TODAY)
        with pytest.raises(AuditError, match="Say why"):
            dispose(paper=paper, why=" ", seen=going(paper).seen, by=officer, today=TODAY)

    def test_the_end_stands_once_it_went(self, paper: Paper, officer: User) -> None:
        disposed(paper, officer)
        with pytest.raises(AuditError, match="stays as it was"):
            withdraw_end(of=UtilisationEnd.objects.get(), why="It went on", by=officer)
        with pytest.raises(AuditError, match="was disposed of on"):
            disposed(paper, officer)


@pytest.mark.parametrize("place", ["other paper", "accession"])
def test_a_scan_that_something_else_needs_stays(paper: Paper, officer: User, place: str) -> None:
    scan = Scan.objects.get()
    if place == "accession":
        scans.filing(scan, accession=register.accession("LMN-9"))
    else:
        PaperScan.objects.create(paper=register.paper("COL-9"), scan=scan, name="permit.pdf", filed_by=officer)
    assert going(paper).scans == [] and [one for one, _by in going(paper).staying] == [scan]
    assert disposed(paper, officer).files == [] and Scan.objects.get().disposed_on is None


@pytest.mark.django_db(transaction=True)
def test_received_again_it_is_back() -> None:
    """The content is kept anew, under its row, and waits to be read."""
    data = scans.pdf()
    scan = scans.scan(data, disposed_on=TODAY)
    store().delete(scan.stored_name)
    back = receive(data=BytesIO(data), name="again.pdf", by=register.person(Role.COMPLIANCE))
    assert back.was_known and back.scan.pk == scan.pk and back.scan.disposed_on is None
    assert check_intact().is_intact


class TestPages:
    def test_confirmation_and_list(self, client: Client, paper: Paper, officer: User) -> None:
        client.force_login(officer)
        address = f"{reverse('audit:dispose')}?paper={paper.pk}"
        page, scan = client.get(address), Scan.objects.get()
        assert scan.original_name in page.content.decode() and scan.sha256[:16] in page.content.decode()
        assert client.post(address, {"why": WHY, "seen": "0"}).status_code == 422
        assert client.post(address, {"why": WHY, "seen": str(scan.pk)}).status_code == 302
        listed = client.get(reverse("audit:disposals")).content.decode()
        assert "1 paper was disposed of." in listed and "PIC-1" in listed
        told = b"".join(client.get(reverse("audit:disposals-csv")).streaming_content).decode()  # type: ignore[attr-defined]
        assert scan.sha256 in told and WHY in told

    def test_the_scan_says_so(self, client: Client, paper: Paper, officer: User) -> None:
        disposed(paper, officer)
        scan = Scan.objects.get()
        client.force_login(officer)
        words = "Disposed of on 26 November 2026"
        assert words in client.get(reverse("scans:scan", args=[scan.pk])).content.decode()
        assert client.get(reverse("scans:scan-file", args=[scan.pk])).status_code == 404
        assert client.get(reverse("papers:paper", args=[paper.pk])).status_code == 200

    def test_before_the_day_there_is_no_button(self, client: Client, officer: User) -> None:
        client.force_login(officer)
        paper = register.paper("PIC-2", (Layer.ACCESS,))
        page = client.get(f"{reverse('audit:dispose')}?paper={paper.pk}").content.decode()
        assert "utilisation is open" in page and "Dispose of it for good" not in page


def test_the_page_of_the_paper_says_that_it_went(paper: Paper, officer: User, client: Client) -> None:
    """Else it looks like a paper that never had a scan; also for those who may not read it."""
    client.force_login(officer)
    page = reverse("papers:paper", args=[paper.pk])
    assert b"Disposed of on" not in client.get(page).content
    made = disposed(paper, officer)
    words = f"Disposed of on {date_format(made.disposed_at, 'j F Y')} by {officer.shown_name}"
    assert words in client.get(page).content.decode()
    Paper.objects.update(restricted_to=role_bits([Role.COMPLIANCE]), restricted_why="Asked for")
    client.force_login(register.person(Role.AUDITOR))
    assert words in client.get(page).content.decode()


def test_a_scan_that_a_removed_title_record_named_stays(paper: Paper, officer: User) -> None:
    """The history names it still, and what shows title is kept for ever."""
    scan = Scan.objects.get()
    title = add_title(accession=register.accession("LMN-1999-001"), kind="gift", scan=scan, by=officer, why="found")
    remove_title(title=title, by=officer, why="entered by mistake")
    assert going(paper).scans == [] and [one for one, _by in going(paper).staying] == [scan]
