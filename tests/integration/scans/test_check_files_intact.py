"""``check_files_intact``: every stored file against its hash, on the local disk."""

from __future__ import annotations

import hashlib
import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.management import call_command

from governance.scans.actions.receiving import receive
from governance.scans.models import Scan
from governance.scans.store import keep
from tests.factories import register, scans

pytestmark = pytest.mark.django_db

A, B = b"Consent of the owner", b"Consent of the parish"


def path_of(scan: Scan) -> Path:
    return Path(settings.FIELDWRIT_FILES) / "store" / scan.stored_name


def checked(*options: str) -> tuple[int, str]:
    """The exit code and what is printed."""
    out, code = io.StringIO(), 0
    try:
        call_command("check_files_intact", *options, stdout=out)
    except SystemExit as exit:
        code = int(exit.code or 0)
    return code, out.getvalue()


def report() -> dict[str, Any]:
    told: dict[str, Any] = json.loads(checked("--json")[1])
    return told


def test_nothing_yet() -> None:
    assert checked() == (0, "0 scans: 0 intact (0 bytes), 0 missing, 0 altered; 0 orphaned files.\n")


def test_all_is_intact() -> None:
    """20 + 21 bytes, counted by hand."""
    scans.scan(A)
    scans.scan(B)
    assert checked() == (0, "2 scans: 2 intact (41 bytes), 0 missing, 0 altered; 0 orphaned files.\n")


def test_missing() -> None:
    kept, lost = scans.scan(A), scans.scan(B, original_name="parish.txt")
    path_of(lost).unlink()
    code, text = checked()
    assert code == 1
    assert f"missing   scan {lost.pk} (parish.txt): nothing at {lost.stored_name}." in text
    assert "2 scans: 1 intact (20 bytes), 1 missing, 0 altered; 0 orphaned files." in text
    assert str(kept.stored_name) not in text


ALTERATIONS: dict[str, Callable[[bytes], bytes]] = {
    "one bit": lambda content: bytes([content[0] ^ 1]) + content[1:],
    "cut": lambda content: content[:-1],
    "longer": lambda content: content + b"\0",
    "emptied": lambda content: b"",
}


@pytest.mark.parametrize("how", ALTERATIONS)
def test_altered(how: str) -> None:
    scan = scans.scan(A, original_name="owner.txt")
    path_of(scan).write_bytes(changed := ALTERATIONS[how](A))
    code, text = checked()
    assert code == 1
    assert f"altered   scan {scan.pk} (owner.txt): {scan.stored_name} has {len(changed)} bytes" in text
    assert f"with SHA-256 {hashlib.sha256(changed).hexdigest()}; expected 20 bytes" in text
    assert report()["altered"][0]["found_bytes"] == len(changed)


def test_unreadable() -> None:
    """A folder in its place stands for whatever the system refuses to read; the others are checked all the same."""
    scan, other = scans.scan(A), scans.scan(B)
    path_of(scan).unlink()
    path_of(scan).mkdir()
    told = report()
    assert [one["scan"] for one in told["altered"]] == [scan.pk]
    assert (told["intact"], other.size_bytes) == (1, told["intact_bytes"])


def test_orphaned() -> None:
    scans.scan(A)
    stray = Path(settings.FIELDWRIT_FILES) / "store" / "ab" / "abcdef"
    stray.parent.mkdir(parents=True, exist_ok=True)
    stray.write_bytes(b"12345")
    code, text = checked()
    assert code == 1
    assert "orphaned  ab/abcdef (5 bytes): no scan names it." in text
    assert report()["orphaned"] == [{"stored_name": "ab/abcdef", "size_bytes": 5}]


def test_all_at_once_as_json() -> None:
    intact, lost, changed = scans.scan(A), scans.scan(B), scans.scan(b"Consent of nobody")
    path_of(lost).unlink()
    path_of(changed).write_bytes(b"Consent of everybody")
    (Path(settings.FIELDWRIT_FILES) / "store" / "stray").write_bytes(b"")
    told = report()
    assert (told["is_intact"], told["scans"], told["intact"]) == (False, 3, 1)
    assert told["intact_bytes"] == intact.size_bytes
    assert [one["stored_name"] for one in told["missing"]] == [lost.stored_name]
    assert [one["stored_name"] for one in told["altered"]] == [changed.stored_name]
    assert [one["stored_name"] for one in told["orphaned"]] == ["stray"]
    assert checked("--json")[0] == 1


class Killed(BaseException):
    """The process ends between the store and the database: nothing of ours runs any more."""


def test_crash_leaves_at_most_an_orphan_that_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    def keep_and_die(path: Path, key: str) -> None:
        keep(path, key)
        raise Killed

    monkeypatch.setattr("governance.scans.actions.receiving.keep", keep_and_die)
    with pytest.raises(Killed):
        receive(data=io.BytesIO(A), name="owner.txt", by=register.person())
    told = report()
    assert (told["scans"], told["missing"], told["altered"]) == (0, [], [])
    assert [one["size_bytes"] for one in told["orphaned"]] == [20]


def test_store_that_cannot_be_read(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    def refuses(*_: Any) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("django.core.files.storage.FileSystemStorage.listdir", refuses)
    assert checked() == (2, "")
    assert "The store cannot be read" in capsys.readouterr().err
