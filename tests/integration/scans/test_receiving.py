"""Receipt of files: what is kept, under which name, once, and what is left when something goes wrong."""

from __future__ import annotations

import hashlib
import io
import threading
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.db import connection, transaction

from accessions.people.access import NotAllowedError
from accessions.people.models import Role, User
from governance.scans.actions.receiving import Received, RefusedFile, receive
from governance.scans.models import Scan
from governance.scans.queries.store import content_on_disk, open_content
from governance.scans.store import keep
from governance.scans.tasks import read_scan
from tests.factories import bad_scans, register, scans

pytestmark = pytest.mark.django_db

RECEIVING = "governance.scans.actions.receiving"


@pytest.fixture
def curator() -> User:
    return register.person(Role.CURATOR)


def received(content: bytes, by: User, name: str = "permit.pdf") -> Received:
    return receive(data=io.BytesIO(content), name=name, by=by)


def stored() -> list[Path]:
    """Files in the store and of what is on its way; not the pictures of pages, which are drawn afterwards."""
    folders = [Path(settings.FIELDWRIT_FILES) / name for name in ("store", "uploads")]
    return sorted(path for folder in folders for path in folder.rglob("*") if path.is_file())


def test_content_is_kept_as_it_came(curator: User) -> None:
    content = scans.pdf(pages=3)
    answer = received(content, curator, "C:\\scans\\permit.pdf")
    scan = Scan.objects.get()
    assert (answer.scan, answer.was_known) == (scan, False)
    assert scan.sha256 == hashlib.sha256(content).hexdigest()
    assert (scan.size_bytes, scan.media_type, scan.page_count) == (len(content), "application/pdf", 3)
    assert (scan.original_name, scan.received_by) == ("permit.pdf", curator)
    assert (scan.has_scripts, scan.remarks) == (False, [])
    with open_content(scan) as kept:
        assert kept.read() == content
    with content_on_disk(scan) as path:
        assert path.read_bytes() == content


def test_history_says_who_and_why(curator: User) -> None:
    receive(data=io.BytesIO(scans.png()), name="label.png", by=curator, why="came with the box")
    entry = Scan.history.get()
    assert (entry.history_user, entry.history_change_reason) == (curator, "came with the box")


def test_name_in_the_store_is_ours_alone(curator: User) -> None:
    """Neither the name nor the content can be told from it, and nobody else may read the file."""
    scan = received(scans.pdf(), curator, "../../permit.pdf").scan
    assert "permit" not in scan.stored_name
    assert scan.sha256[:8] not in scan.stored_name
    [path] = stored()
    assert path == Path(settings.FIELDWRIT_FILES) / "store" / scan.stored_name
    assert path.stat().st_mode & 0o077 == 0


def test_file_of_the_disk_stays(curator: User, tmp_path: Path) -> None:
    path = tmp_path / "scanned.png"
    path.write_bytes(scans.png())
    scan = receive(data=path, name=path.name, by=curator).scan
    assert scan.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()


@pytest.mark.parametrize("role", [Role.CURATOR, Role.REGISTRAR, Role.COMPLIANCE])
def test_same_content_is_the_same_scan(curator: User, role: str) -> None:
    """Whatever it is called and whoever sends it; the first name stays."""
    first = received(scans.pdf(), curator, "one.pdf")
    again = received(scans.pdf(), register.person(role, username="second"), "two.pdf")
    assert (again.scan, again.was_known) == (first.scan, True)
    assert again.scan.original_name == "one.pdf"
    assert len(stored()) == 1


def test_content_that_the_store_has_lost_is_put_back(curator: User) -> None:
    scan = received(scans.pdf(), curator).scan
    stored()[0].unlink()
    assert received(scans.pdf(), curator).was_known
    with open_content(scan) as kept:
        assert kept.read() == scans.pdf()


def test_same_name_and_another_content_is_another_scan(curator: User) -> None:
    one, two = received(scans.pdf(1), curator).scan, received(scans.pdf(2), curator).scan
    assert one != two
    assert one.original_name == two.original_name
    assert len(stored()) == 2


@pytest.mark.parametrize("role", [Role.VOLUNTEER, Role.AUDITOR, Role.ADMINISTRATOR])
def test_who_may_not(role: str) -> None:
    with pytest.raises(NotAllowedError, match="These roles may add scans"):
        received(scans.pdf(), register.person(role))
    assert (Scan.objects.count(), stored()) == (0, [])


@pytest.mark.parametrize("content", [b"", b"<html>", scans.pdf()[:-9], bad_scans.png_of(30_000, 30_000)])
def test_what_is_refused_leaves_nothing(content: bytes, curator: User) -> None:
    with pytest.raises(RefusedFile):
        received(content, curator)
    assert (Scan.objects.count(), stored()) == (0, [])


class Endless(io.RawIOBase):
    """A file that never ends; read: how much of it was taken."""

    taken = 0

    def read(self, size: int = -1) -> bytes:
        self.taken += size
        return b"a" * size


def test_too_large_is_noticed_while_it_comes(curator: User, settings: Any) -> None:
    """Reading stops at the limit, and not at the end of the file."""
    settings.FIELDWRIT_LARGEST_FILE_MB = 2
    endless = Endless()
    with pytest.raises(RefusedFile, match="larger than 2 MB, the most that is received"):
        receive(data=endless, name="endless.txt", by=curator)
    assert endless.taken <= 3 * 2**20
    assert stored() == []


@pytest.mark.parametrize(("size_bytes", "is_received"), [(1_000_000, True), (1_000_001, False)])
def test_limit_is_the_last_that_is_received(size_bytes: int, is_received: bool, curator: User, settings: Any) -> None:
    settings.FIELDWRIT_LARGEST_FILE_MB = 1
    content = b"a" * size_bytes
    if is_received:
        assert received(content, curator).scan.size_bytes == size_bytes
    else:
        with pytest.raises(RefusedFile):
            received(content, curator)


def test_transaction_that_fails_leaves_no_orphan(curator: User, monkeypatch: pytest.MonkeyPatch) -> None:
    def breaks(*_: Any, **__: Any) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(f"{RECEIVING}.record", breaks)
    with pytest.raises(ZeroDivisionError):
        received(scans.pdf(), curator)
    assert (Scan.objects.count(), stored()) == (0, [])


@pytest.mark.django_db(transaction=True)
def test_not_inside_another_transaction(curator: User) -> None:
    """Which could be rolled back after the content is kept."""
    with pytest.raises(RuntimeError, match="durable"), transaction.atomic():
        received(scans.pdf(), curator)
    assert (Scan.objects.count(), stored()) == (0, [])


def test_store_that_breaks_leaves_no_row(curator: User, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(f"{RECEIVING}.keep", full)
    with pytest.raises(OSError, match="No space left"):
        received(scans.pdf(), curator)
    assert Scan.objects.count() == 0


def test_somebody_was_quicker(curator: User, monkeypatch: pytest.MonkeyPatch) -> None:
    """Between the look whether it is known and the row, another request received the same content."""

    def keep_and_lose(path: Path, key: str) -> None:
        monkeypatch.setattr(f"{RECEIVING}.keep", keep)
        received(path.read_bytes(), curator, "quicker.pdf")
        keep(path, key)

    monkeypatch.setattr(f"{RECEIVING}.keep", keep_and_lose)
    answer = received(scans.pdf(), curator, "slower.pdf")
    assert answer.was_known
    assert (answer.scan.original_name, Scan.objects.count()) == ("quicker.pdf", 1)
    assert len(stored()) == 1


@pytest.mark.django_db(transaction=True)
def test_two_at_once(curator: User, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same content by two threads that meet right before the store: one row, one file, one of them was known."""
    meeting = threading.Barrier(2, timeout=20)
    turn, mine = threading.Lock(), threading.local()
    answers: list[bool] = []

    def wait_and_keep(path: Path, key: str) -> None:
        meeting.wait()
        if connection.vendor == "sqlite":  # in memory, where nobody waits for a locked table as files let one
            turn.acquire()
            mine.has_turn = True
        keep(path, key)

    def send() -> None:
        try:
            answers.append(received(scans.png(), curator).was_known)
        finally:
            connection.close()
            if getattr(mine, "has_turn", False):
                turn.release()

    monkeypatch.setattr(f"{RECEIVING}.keep", wait_and_keep)
    senders = [threading.Thread(target=send) for _ in range(2)]
    for sender in senders:
        sender.start()
    for sender in senders:
        sender.join(60)
    assert sorted(answers) == [False, True]
    assert (Scan.objects.count(), len(stored())) == (1, 1)


def test_words_are_read_after_the_commit(
    curator: User, monkeypatch: pytest.MonkeyPatch, django_capture_on_commit_callbacks: Any
) -> None:
    asked: list[int] = []
    monkeypatch.setattr(type(read_scan), "enqueue", lambda self, key: asked.append(key))
    with django_capture_on_commit_callbacks(execute=True):
        scan = received(scans.png(), curator).scan
        assert asked == []
        assert received(scans.png(), curator).was_known
    assert asked == [scan.pk]


def test_queue_that_is_down_does_not_undo_the_receipt(
    curator: User, monkeypatch: pytest.MonkeyPatch, django_capture_on_commit_callbacks: Any
) -> None:
    def breaks(self: object, key: int) -> None:
        raise ConnectionError

    monkeypatch.setattr(type(read_scan), "enqueue", breaks)
    with django_capture_on_commit_callbacks(execute=True):
        scan = received(scans.png(), curator).scan
    assert Scan.objects.get() == scan
    assert len(stored()) == 1
