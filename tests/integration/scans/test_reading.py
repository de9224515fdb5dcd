"""Words of scans: read in the background, written once, said plainly where they could not be read."""

from __future__ import annotations

import io
import json
import shutil
from datetime import timedelta
from email.message import EmailMessage
from pathlib import Path
from typing import Any

import docx
import pytest
from django.core.management import call_command
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from accessions.people.access import NotAllowedError
from accessions.people.models import Role
from governance.scans import tasks
from governance.scans.actions import reading
from governance.scans.actions.reading import read, read_again, read_some
from governance.scans.confined import ConfinedError, Limits
from governance.scans.drawing.kept import picture_path
from governance.scans.drawing.sizes import THUMBNAIL
from governance.scans.models import Scan, ScanPage
from governance.scans.reading import content
from governance.scans.reading.child import PageWords
from tests.factories import register, scans, written
from tests.factories.compound_files import outlook_mail

pytestmark = pytest.mark.django_db

needs_recognition = pytest.mark.skipif(
    shutil.which("tesseract") is None, reason="tesseract is missing: apt-get install tesseract-ocr"
)
STATES = Scan.TextState
MAIL, OUTLOOK = "message/rfc822", "application/vnd.ms-outlook"
DOCX = "application/vnd.openxmlformats-officedocument.wordprocessingml.document"


@pytest.fixture(autouse=True)
def files(settings: Any, tmp_path: Path) -> None:
    settings.FIELDWRIT_FILES = tmp_path
    settings.STORAGES = settings.STORAGES | {
        "scans": {"BACKEND": "django.core.files.storage.FileSystemStorage", "OPTIONS": {"location": tmp_path / "store"}}
    }


def texts(scan: Scan) -> list[str]:
    return list(scan.pages.order_by("number").values_list("text", flat=True))


class TestWhatIsRead:
    def test_the_words_of_a_pdf_are_written_page_by_page(self) -> None:
        scan = scans.scan(scans.pdf(3, "Permiso NC/2024/117\nRecolección"), page_count=3)

        read(scan=scan)

        pages = list(scan.pages.all())
        assert [page.number for page in pages] == [1, 2, 3]
        assert pages[1].text == "Page 2 of 3\nPermiso NC/2024/117\nRecolección"
        assert pages[1].folded == " page 2 of 3 permiso nc 2024 117 recoleccion "
        assert (pages[1].printed_page, pages[1].printed_of) == (2, 3)
        assert pages[1].source == ScanPage.Source.FILE
        assert [pages[1].text[start:end] for start, end, *_box in pages[1].words][4:6] == ["Permiso", "NC/2024/117"]
        assert (scan.text_state, scan.text_note) == (STATES.READ, "")
        assert scan.history.first().history_change_reason == "words read"

    def test_a_blank_page_holds_no_words(self) -> None:
        assert read(scan=scans.scan(written.page_pdf(""))).text_state == STATES.WITHOUT

    def test_a_mail_gives_its_heading_and_text(self) -> None:
        mail = EmailMessage()
        mail["From"], mail["To"] = "office@orvane.example", "registrar@lindmark.example"
        mail["Subject"], mail["Date"] = "Genehmigung für Käfer", "Mon, 3 Jun 2024 10:00:00 +0000"
        mail.set_content(
            "<style>p {}</style><p>Dear <b>registrar</b>,</p><script>bad()</script>granted", subtype="html"
        )
        mail.add_attachment(b"x", maintype="application", subtype="pdf", filename="permit.pdf")
        scan = scans.scan(bytes(mail), media_type=MAIL, page_count=None)

        read(scan=scan)

        assert texts(scan) == [
            "From: office@orvane.example\nTo: registrar@lindmark.example\nDate: Mon, 03 Jun 2024 10:00:00 +0000\n"
            "Subject: Genehmigung für Käfer\nAttached: permit.pdf\n\nDear registrar,\ngranted"
        ]
        assert scan.text_state == STATES.READ

    def test_a_mail_in_an_encoding_that_does_not_exist(self) -> None:
        raw = b"From: a@b.example\nDate: x\nContent-Type: text/plain; charset=martian\n\nstill legible\n"
        scan = read(scan=scans.scan(raw, media_type=MAIL, page_count=None))
        assert "still legible" in texts(scan)[0]

    def test_a_mail_of_outlook(self) -> None:
        scan = scans.scan(outlook_mail("Consent", "The owner agrees."), media_type=OUTLOOK, page_count=None)
        read(scan=scan)
        assert "Subject: Consent" in texts(scan)[0]
        assert texts(scan)[0].endswith("The owner agrees.")

    def test_a_document_gives_paragraphs_and_tables_in_their_order(self) -> None:
        document = docx.Document()
        document.add_paragraph("Before the table")
        table = document.add_table(2, 2)
        for cell, words in zip(table._cells, ("Species", "Number", "Gomphus", "40"), strict=True):
            cell.text = words
        document.add_paragraph("After the table")
        file = io.BytesIO()
        document.save(file)
        scan = scans.scan(file.getvalue(), media_type=DOCX, page_count=None)

        read(scan=scan)

        assert texts(scan) == ["Before the table\nSpecies\tNumber\nGomphus\t40\nAfter the table"]

    def test_a_text_is_cut_at_its_form_feeds_and_where_it_is_long(self) -> None:
        long = "\n".join(["the holder shall report"] * 2000)  # 48,000 letters
        scan = read(scan=scans.scan(f"first\f{long}".encode("utf-16"), media_type="text/plain", page_count=None))
        assert texts(scan)[0] == "first"
        assert len(texts(scan)) == 4  # the first, and 48,000 in pieces of 20,000
        assert "\n".join(texts(scan)[1:]) == long

    def test_a_nul_in_a_text_does_not_reach_the_database(self) -> None:
        """PostgreSQL takes none."""
        scan = read(scan=scans.scan(b"one\x00two", media_type="text/plain", page_count=None))
        assert texts(scan) == ["onetwo"]

    @needs_recognition
    @pytest.mark.slow
    def test_pages_with_text_and_pages_that_are_pictures(self, settings: Any) -> None:
        from pypdf import PdfReader, PdfWriter

        settings.FIELDWRIT_OCR_LANGUAGES = ("eng",)
        writer = PdfWriter()
        for part in (written.page_pdf("Text of the file itself, long enough to be that"),
                     written.picture_pdf([written.picture(dots_an_inch=150)])):  # fmt: skip
            writer.append(PdfReader(io.BytesIO(part)))
        file = io.BytesIO()
        writer.write(file)
        scan = scans.scan(file.getvalue(), page_count=2)

        read(scan=scan)

        first, second = scan.pages.order_by("number")
        assert (first.source, second.source) == (ScanPage.Source.FILE, ScanPage.Source.RECOGNISED)
        assert "LND-2024-117" in second.text
        assert (second.printed_page, second.printed_of) == (2, 5)
        assert scan.text_state == STATES.READ


class TestWhatIsMissing:
    @pytest.fixture
    def scan(self) -> Scan:
        return scans.scan(written.picture_file(written.picture(dots_an_inch=60)), page_count=1)

    def test_no_text_recognition(self, scan: Scan, monkeypatch: pytest.MonkeyPatch, settings: Any) -> None:
        settings.FIELDWRIT_OCR_LANGUAGES = ("eng", "spa")
        monkeypatch.setenv("PATH", "")
        read(scan=scan)
        assert scan.text_state == STATES.NO_READER
        assert scan.text_note == (
            "No text recognition is installed: install tesseract-ocr with tesseract-ocr-eng and tesseract-ocr-spa, "
            "then read again."
        )
        assert texts(scan) == [""]

    @needs_recognition
    def test_a_language_that_is_missing(self, scan: Scan, settings: Any) -> None:
        settings.FIELDWRIT_OCR_LANGUAGES = ("eng", "xyz")
        read(scan=scan)
        assert scan.text_state == STATES.NO_READER
        assert scan.text_note == "The text recognition lacks xyz: install tesseract-ocr-xyz, then read again."

    def test_text_is_read_all_the_same(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setenv("PATH", "")
        assert (
            read(scan=scans.scan(scans.pdf(text="Enough words to be a page of text by itself"))).text_state
            == STATES.READ
        )

    def test_what_the_store_has_lost(self) -> None:
        scan = scans.scan(stored=False)
        assert not read_some(scan=scan)
        assert scan.text_state == STATES.FAILED
        assert "check_files_intact" in scan.text_note

    def test_what_cannot_be_opened(self) -> None:
        scan = read(scan=scans.scan(b"%PDF-1.7 and nothing more", page_count=2))
        assert scan.text_state == STATES.FAILED
        assert scan.text_note == "Its pages could not be read. They can still be looked at and filed."

    def test_a_page_that_breaks_the_process_takes_no_other_with_it(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """The process ends at page 2, whatever is tried; pages 1 and 3 are read."""
        whole = content.run

        def broken(module: str, arguments: list[str], **limits: Any) -> Any:
            job = json.loads(arguments[0])
            upto = job["numbers"].index(2) if 2 in job["numbers"] else len(job["numbers"])
            if upto:
                whole(module, [json.dumps(job | {"numbers": job["numbers"][:upto]})], **limits)
            if 2 in job["numbers"]:
                raise ConfinedError("memory")

        monkeypatch.setattr(content, "run", broken)
        scan = read(scan=scans.scan(scans.pdf(3), page_count=3))

        assert [bool(text) for text in texts(scan)] == [True, False, True]
        assert (scan.text_state, scan.text_note) == (STATES.READ, "These pages could not be read: 2.")

    def test_what_has_no_pages_is_not_given_the_time_of_recognition(
        self, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
    ) -> None:
        """A mail of unclosed comments takes a parser of HTML minutes; others wait for the worker meanwhile."""
        given: list[Limits] = []
        monkeypatch.setattr(content, "run", lambda module, arguments, limits: given.append(limits))
        content.read_pages(tmp_path / "mail.eml", "message/rfc822", [], ("eng",), seconds=10)
        content.read_pages(tmp_path / "scan.pdf", "application/pdf", [1], ("eng",), seconds=10)
        assert given[0].clock_seconds == given[0].processor_seconds == 30  # 10 and 20 to begin
        assert given[1].clock_seconds > 100  # three pages at most are recognised beyond the 10


class TestTwice:
    def test_read_twice_is_read_once(self) -> None:
        scan = scans.scan(scans.pdf(2), page_count=2)
        read(scan=scan)
        keys = list(scan.pages.values_list("pk", flat=True))
        read(scan=scan)
        assert list(scan.pages.values_list("pk", flat=True)) == keys
        assert scan.history.filter(text_state=STATES.READ).count() == 1

    def test_two_that_read_at_once(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """The other has written all pages while this one was reading: there are no two of a page, and nothing fails."""
        scan = scans.scan(scans.pdf(2), page_count=2)
        once = content.read_pages

        def meanwhile(*args: Any, **more: Any) -> list[PageWords]:
            monkeypatch.setattr("governance.scans.actions.reading.read_pages", once)
            read(scan=Scan.objects.get(pk=scan.pk))
            return once(*args, **more)

        monkeypatch.setattr("governance.scans.actions.reading.read_pages", meanwhile)
        read(scan=scan)
        assert list(scan.pages.values_list("number", flat=True)) == [1, 2]
        assert scan.text_state == STATES.READ

    def test_nothing_is_locked_while_it_is_read(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """No transaction of ours is open: on SQLite it would keep everybody else from writing."""
        depths = []
        once, before = content.read_pages, len(connection.savepoint_ids)

        def looked(*args: Any, **more: Any) -> list[PageWords]:
            depths.append(len(connection.savepoint_ids))
            return once(*args, **more)

        monkeypatch.setattr("governance.scans.actions.reading.read_pages", looked)
        read(scan=scans.scan())
        assert depths == [before]

    def test_a_long_scan_lets_others_in(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """With no time at all each turn reads one page, and the next turn goes on after it."""
        monkeypatch.setattr(reading, "AT_ONCE_SECONDS", 0)
        scan = scans.scan(scans.pdf(3), page_count=3)
        assert [read_some(scan=scan) for _turn in range(3)] == [True, True, False]
        assert scan.pages.count() == 3


class TestTask:
    def test_it_reads_and_draws(self) -> None:
        scan = scans.scan(scans.pdf(2), page_count=2)
        tasks.read_scan.enqueue(scan.pk)
        scan.refresh_from_db()
        assert scan.text_state == STATES.READ
        assert picture_path(scan.sha256, 2, THUMBNAIL).exists()

    def test_a_scan_that_is_gone_is_no_fault(self) -> None:
        assert tasks.read_scan.call(0) is False

    def test_verdicts_go_before_words(self, settings: Any) -> None:
        """In the queue of the database: whatever is asked for first, what has the higher priority is taken first."""
        from django_tasks_db.models import DBTaskResult

        from governance.verdicts.tasks import take_up_marks

        settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
        tasks.read_scan.enqueue(1)
        take_up_marks.enqueue(None)
        first = DBTaskResult.objects.ready().get_locked()
        assert first is not None
        assert first.task_path == "governance.verdicts.tasks.take_up_marks"


class TestLeftOver:
    """A worker was ended in the middle: its task is still said to run, and its scan to wait."""

    @pytest.fixture
    def scan(self, settings: Any) -> Scan:
        settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
        scan = scans.scan()
        Scan.objects.update(received_at=timezone.now() - timedelta(hours=1))
        return scan

    def queued(self) -> list[Any]:
        from django_tasks_db.models import DBTaskResult

        return list(DBTaskResult.objects.ready())

    def test_a_scan_that_nobody_reads_is_asked_for_once(self, scan: Scan) -> None:
        assert (tasks.enqueue_left(), tasks.enqueue_left()) == (1, 0)
        assert [task.args_kwargs["args"] for task in self.queued()] == [[scan.pk]]

    @pytest.mark.parametrize(("minutes", "expected"), [(9, 0), (11, 1)])
    def test_a_task_that_runs_too_long_runs_no_more(self, minutes: int, expected: int, scan: Scan) -> None:
        tasks.read_scan.enqueue(scan.pk)
        (task,) = self.queued()
        task.claim("gone")
        type(task).objects.update(started_at=timezone.now() - timedelta(minutes=minutes))
        assert tasks.enqueue_left() == expected

    def test_what_has_just_come_is_left_alone(self, scan: Scan) -> None:
        Scan.objects.update(received_at=timezone.now())
        assert tasks.enqueue_left() == 0


class TestAgain:
    def test_the_words_are_forgotten_and_read_anew(self, django_capture_on_commit_callbacks: Any) -> None:
        scan = read(scan=scans.scan(scans.pdf(2), page_count=2))
        scan.pages.update(text="misread")
        with django_capture_on_commit_callbacks() as callbacks:
            read_again(scan=scan, by=register.person(), why="misread")
        assert (scan.text_state, scan.pages.count()) == (STATES.WAITING, 0)
        assert scan.history.first().history_change_reason == "misread"
        callbacks[0]()
        assert texts(scan)[0].startswith("Page 1 of 2")

    def test_who_may_not(self) -> None:
        with pytest.raises(NotAllowedError, match="add scans and file them"):
            read_again(scan=scans.scan(), by=register.person(Role.VOLUNTEER))

    def test_who_may_not_open_it(self) -> None:
        scan = scans.scan(restricted_to=1)  # the bit of the first role, volunteers
        with pytest.raises(NotAllowedError, match="restricted"):
            read_again(scan=scan, by=register.person(Role.CURATOR))

    def test_its_page_says_how_far_it_is(self, client: Client) -> None:
        scan = scans.scan(scans.pdf(3), page_count=3)
        ScanPage.objects.create(scan=scan, number=1, text="one", folded=" one ")
        client.force_login(register.person())
        assert "1 of 3 pages read." in client.get(reverse("scans:scan", args=[scan.pk])).content.decode()

    def test_the_button(self, client: Client) -> None:
        scan = read(scan=scans.scan())
        client.force_login(register.person())
        assert "Read the words again" in client.get(reverse("scans:scan", args=[scan.pk])).content.decode()
        answer = client.post(reverse("scans:scan-read-again", args=[scan.pk]), follow=True)
        assert answer.redirect_chain == [(reverse("scans:scan", args=[scan.pk]), 302)]
        assert "It is being read again." in answer.content.decode()
        assert client.get(reverse("scans:scan-read-again", args=[scan.pk])).status_code == 405


class TestCommand:
    def test_those_that_wait(self, capsys: pytest.CaptureFixture[str]) -> None:
        done = read(scan=scans.scan(scans.pdf(1, "done already, and long enough")))
        waits = scans.scan(scans.pdf(1, "still waiting, and long enough"), original_name="waits.pdf")
        call_command("read_scans", "--waiting")
        assert capsys.readouterr().out == f"{waits.pk} waits.pdf (1 pages): Read.\n"
        assert done.pages.count() == waits.pages.count() == 1

    def test_those_that_waited_for_the_recognition(self) -> None:
        scan = scans.scan(text_state=STATES.NO_READER, text_note="install it")
        ScanPage.objects.create(scan=scan, number=1)
        call_command("read_scans")
        scan.refresh_from_db()
        assert (scan.text_state, scan.text_note) == (STATES.READ, "")

    def test_all_of_them_anew(self, capsys: pytest.CaptureFixture[str]) -> None:
        scan = read(scan=scans.scan())
        scan.pages.update(text="misread")
        connection.check_constraints()  # PostgreSQL makes no index while foreign keys of this test wait to be checked
        call_command("read_scans", "--all", "--index")
        assert texts(scan)[0].startswith("Page 1 of 1")
        assert "The index of the words is made anew." in capsys.readouterr().out
