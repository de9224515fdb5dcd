"""Files in pieces by the open protocol tus 1.0 (tus.io, "Resumable upload protocol 1.0.x"; sections named below, from
memory), by hand and with a client that is not ours.
"""

from __future__ import annotations

import base64
import hashlib
import http.client
import io
import os
import random
import socket
import time
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from tusclient.client import TusClient
from tusclient.exceptions import TusCommunicationError

from accessions.people.models import Role
from governance.scans import parts
from governance.scans.actions import uploading
from governance.scans.models import Scan, Upload
from governance.scans.queries.store import open_content
from tests.factories import register, scans

pytestmark = pytest.mark.django_db

UPLOADS = "/scans/uploads/"
VERSION = {"Tus-Resumable": "1.0.0"}
PIECE = "application/offset+octet-stream"


def signed_in(role: str = Role.CURATOR, **fields: Any) -> Client:
    client = Client()
    client.force_login(register.person(role, **fields))
    return client


@pytest.fixture
def client() -> Client:
    return signed_in()


def begun(client: Client, size_bytes: int, name: str = "permit.pdf") -> str:
    """The address of a new upload."""
    metadata = "filename " + base64.b64encode(name.encode()).decode() + ",is_confidential"
    answer = client.post(UPLOADS, headers=VERSION | {"Upload-Length": str(size_bytes), "Upload-Metadata": metadata})
    assert answer.status_code == 201, answer.content
    return str(answer["Location"])


def patched(client: Client, address: str, offset: int, piece: bytes, **headers: str) -> Any:
    sent = VERSION | {"Upload-Offset": str(offset)} | {name.replace("_", "-"): text for name, text in headers.items()}
    return client.patch(address, piece, content_type=PIECE, headers=sent)


def told(client: Client, address: str) -> dict[str, Any]:
    answer: dict[str, Any] = client.get(address).json()
    return answer


def part_files() -> list[Path]:
    return sorted((Path(settings.FIELDWRIT_FILES) / "uploads").glob("*.part"))


class TestProtocol:
    """What the text of the protocol asks of a server."""

    def test_abilities(self, client: Client) -> None:
        """OPTIONS needs no version ("Tus-Resumable": "except for OPTIONS requests")."""
        answer = client.options(UPLOADS)
        assert answer.status_code == 204
        assert answer["Tus-Version"] == "1.0.0"
        assert answer["Tus-Max-Size"] == "100000000"
        assert {"creation", "termination", "checksum"} <= set(answer["Tus-Extension"].split(","))
        assert "sha1" in answer["Tus-Checksum-Algorithm"].split(",")

    @pytest.mark.parametrize("version", ["", "0.2.2", "1.0.1"])
    def test_other_version_is_not_processed(self, version: str, client: Client) -> None:
        """ "Tus-Version": 412, and the header names what is known."""
        answer = client.post(UPLOADS, headers={"Upload-Length": "5", "Tus-Resumable": version})
        assert (answer.status_code, answer["Tus-Version"]) == (412, "1.0.0")
        assert not Upload.objects.exists()

    def test_creation(self, client: Client) -> None:
        """ "Creation": 201 with Location; the offset of what is new is 0; HEAD must not be cached."""
        address = begun(client, 12, "x.txt")
        answer = client.head(address, headers=VERSION)
        assert (answer.status_code, answer["Upload-Offset"], answer["Upload-Length"]) == (200, "0", "12")
        assert "no-store" in answer["Cache-Control"]
        assert answer["Tus-Resumable"] == "1.0.0"
        assert Upload.objects.get().name == "x.txt"

    @pytest.mark.parametrize("length", ["", "-1", "1.5", "ten", "9" * 30])
    def test_length_must_be_a_number(self, length: str, client: Client) -> None:
        answer = client.post(UPLOADS, headers=VERSION | {"Upload-Length": length})
        assert answer.status_code == 400
        assert b"expected a whole number of bytes" in answer.content

    def test_too_large_is_refused_before_a_byte_comes(self, client: Client) -> None:
        """ "Tus-Max-Size", 413; the text is for the person."""
        answer = client.post(UPLOADS, headers=VERSION | {"Upload-Length": "100000001"})
        assert answer.status_code == 413
        assert b"larger than 100 MB" in answer.content

    def test_metadata_must_be_base64(self, client: Client) -> None:
        answer = client.post(UPLOADS, headers=VERSION | {"Upload-Length": "1", "Upload-Metadata": "filename ###"})
        assert answer.status_code == 400

    def test_metadata_of_other_letters_is_no_base64(self, client: Client) -> None:
        """A header may hold any byte of ISO 8859-1 (RFC 9110, 5.5); Base64 is of ASCII alone (RFC 4648, 4)."""
        answer = client.post(UPLOADS, headers=VERSION | {"Upload-Length": "1", "Upload-Metadata": "filename \xe9"})
        assert answer.status_code == 400
        assert b"expected Base64" in answer.content

    def test_pieces(self, client: Client) -> None:
        """ "PATCH": 204 and the new offset; the last makes a scan."""
        content = scans.pdf()
        address = begun(client, len(content))
        first = patched(client, address, 0, content[:700])
        assert (first.status_code, first["Upload-Offset"]) == (204, "700")
        assert told(client, address) == {
            "state": "receiving", "received_bytes": 700, "scan": None, "problem": "", "was_known": False,
        }  # fmt: skip
        last = patched(client, address, 700, content[700:])
        assert (last.status_code, last["Upload-Offset"]) == (204, str(len(content)))
        scan = Scan.objects.get()
        assert told(client, address)["scan"] == scan.pk
        assert scan.sha256 == hashlib.sha256(content).hexdigest()
        assert part_files() == []

    @pytest.mark.parametrize("offset", [0, 699, 701, 10_000])
    def test_wrong_offset(self, offset: int, client: Client) -> None:
        """ "PATCH": 409, and nothing is written."""
        address = begun(client, 2000)
        patched(client, address, 0, b"a" * 700)
        answer = patched(client, address, offset, b"b" * 100)
        assert answer.status_code == 409
        assert part_files()[0].read_bytes() == b"a" * 700

    def test_wrong_type_of_content(self, client: Client) -> None:
        """ "PATCH": 415."""
        address = begun(client, 4)
        sent = VERSION | {"Upload-Offset": "0"}
        assert client.patch(address, b"abcd", content_type="text/plain", headers=sent).status_code == 415

    def test_more_than_announced(self, client: Client) -> None:
        address = begun(client, 5)
        assert patched(client, address, 0, b"abcdefgh").status_code == 413
        assert told(client, address)["received_bytes"] == 0

    def test_end(self, client: Client) -> None:
        """ "Termination": 204, then 404; what came is gone."""
        address = begun(client, 9)
        patched(client, address, 0, b"abc")
        assert client.delete(address, headers=VERSION).status_code == 204
        assert client.head(address, headers=VERSION).status_code == 404
        assert part_files() == []

    def test_end_of_what_was_received_leaves_the_scan(self, client: Client) -> None:
        content = scans.png()
        address = begun(client, len(content))
        patched(client, address, 0, content)
        client.delete(address, headers=VERSION)
        assert (Scan.objects.count(), Upload.objects.count()) == (1, 0)

    @pytest.mark.parametrize("algorithm", ["sha1", "sha256", "md5"])
    def test_checksum(self, algorithm: str, client: Client) -> None:
        """ "Checksum": a piece that does not match is discarded, 460; the right one is taken."""
        content = scans.png()
        address = begun(client, len(content))
        right = base64.b64encode(hashlib.new(algorithm, content).digest()).decode()
        wrong = patched(client, address, 0, content[:-1] + b"x", Upload_Checksum=f"{algorithm} {right}")
        assert wrong.status_code == 460
        assert told(client, address)["received_bytes"] == 0
        assert patched(client, address, 0, content, Upload_Checksum=f"{algorithm} {right}").status_code == 204
        assert told(client, address)["state"] == "received"

    def test_unknown_checksum(self, client: Client) -> None:
        assert patched(client, begun(client, 4), 0, b"abcd", Upload_Checksum="crc32 AAAA").status_code == 400

    @pytest.mark.parametrize(("method", "status"), [("PATCH", 204), ("DELETE", 204), ("HEAD", 200)])
    def test_method_written_beside_post(self, method: str, status: int, client: Client) -> None:
        """ "X-HTTP-Method-Override"."""
        address = begun(client, 9)
        sent = VERSION | {"X-HTTP-Method-Override": method, "Upload-Offset": "0"}
        assert client.post(address, b"abc", content_type=PIECE, headers=sent).status_code == status

    def test_post_alone_is_not_for_an_upload(self, client: Client) -> None:
        assert client.post(begun(client, 9), headers=VERSION).status_code == 405


class TestOutcome:
    """What becomes of a file whose last byte is there."""

    def test_half_a_file_is_no_scan(self, client: Client) -> None:
        """Not even one that would be sound if it ended here: a text is whole at every length."""
        address = begun(client, 100)
        patched(client, address, 0, b"a" * 99)
        assert (Scan.objects.count(), told(client, address)["state"]) == (0, "receiving")

    def test_refused(self, client: Client) -> None:
        address = begun(client, 6)
        assert patched(client, address, 0, b"<html>").status_code == 204
        answer = told(client, address)
        assert (answer["state"], answer["scan"]) == ("refused", None)
        assert answer["problem"].startswith("This is a web page (HTML).")
        assert (Scan.objects.count(), part_files()) == (0, [])

    def test_empty(self, client: Client) -> None:
        """There is no last byte to wait for."""
        assert told(client, begun(client, 0))["problem"].startswith("The file is empty")

    def test_known(self, client: Client) -> None:
        content = scans.png()
        known = scans.scan(content)
        address = begun(client, len(content))
        patched(client, address, 0, content)
        answer = told(client, address)
        assert (answer["scan"], answer["was_known"]) == (known.pk, True)

    def test_server_that_stopped_before_the_check(self, client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
        """The last byte was confirmed and nothing came of it: an empty piece at the end takes it up again."""
        content = scans.png()
        address = begun(client, len(content))
        monkeypatch.setattr(uploading, "finish", lambda *, upload, by: upload)
        patched(client, address, 0, content)
        monkeypatch.undo()
        assert told(client, address)["state"] == "checking"
        assert patched(client, address, len(content), b"", Content_Type=PIECE).status_code == 204
        assert told(client, address)["state"] == "received"

    def test_only_one_process_checks(self, client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
        content = scans.png()
        address = begun(client, len(content))
        token = Upload.objects.get().token
        with parts.claimed(token):
            patched(client, address, 0, content)
            assert told(client, address)["state"] == "checking"
            assert Scan.objects.count() == 0

    def test_part_that_the_disk_has_lost(self, client: Client) -> None:
        """The sender is told to begin again, and no hole is taken for content."""
        address = begun(client, 2000)
        patched(client, address, 0, b"a" * 700)
        part_files()[0].unlink()
        assert client.head(address, headers=VERSION)["Upload-Offset"] == "0"
        assert patched(client, address, 700, b"a").status_code == 409
        assert patched(client, address, 0, b"a" * 2000).status_code == 204
        assert told(client, address)["state"] == "received"

    def test_bytes_that_were_never_confirmed(self, client: Client) -> None:
        """A server that stopped between disk and row: what is behind the confirmed end is written over."""
        address = begun(client, 8)
        patched(client, address, 0, b"abc")
        with part_files()[0].open("ab") as part:
            part.write(b"XYZ")
        assert client.head(address, headers=VERSION)["Upload-Offset"] == "3"
        patched(client, address, 3, b"defgh")
        with open_content(Scan.objects.get()) as kept:
            assert kept.read() == b"abcdefgh"

    def test_two_senders_at_one_place(self, client: Client) -> None:
        """A lost connection that wakes up behind its own resumption adds nothing."""
        address = begun(client, 600_000)
        one = Upload.objects.get()

        class Slow(io.BytesIO):
            """Before its second piece is read, somebody else has sent it."""

            reads = 0

            def read(self, size: int | None = -1) -> bytes:
                self.reads += 1
                if self.reads == 2:
                    assert patched(client, address, 262_144, b"b" * 1000).status_code == 204
                return super().read(size)

        with pytest.raises(uploading.WrongPlaceError) as error:
            uploading.append(upload=one, offset=0, data=Slow(b"a" * 600_000), by=one.started_by)
        assert error.value.offset == 263_144
        assert part_files()[0].read_bytes() == b"a" * 262_144 + b"b" * 1000

    @pytest.mark.parametrize(
        ("name", "kept"),
        [
            ("../../etc/passwd", "passwd"),
            ("C:\\x\\permit.pdf", "permit.pdf"),
            ("", "unnamed"),
            ("אישור.pdf", "אישור.pdf"),
        ],
    )
    def test_name_is_data(self, name: str, kept: str, client: Client) -> None:
        content = scans.png()
        patched(client, begun(client, len(content), name), 0, content)
        assert Scan.objects.get().original_name == kept


class TestWho:
    def test_another_person_finds_nothing(self, client: Client) -> None:
        """Not even a registrar: as if it were not there."""
        address = begun(client, 9)
        other = signed_in(Role.REGISTRAR)
        assert other.get(address).status_code == 404
        assert other.head(address, headers=VERSION).status_code == 404
        assert patched(other, address, 0, b"abc").status_code == 404
        assert other.delete(address, headers=VERSION).status_code == 404
        assert Upload.objects.exists()

    def test_who_lost_the_right_meanwhile(self, client: Client) -> None:
        address = begun(client, 9)
        person = register.person(Role.CURATOR)
        person.role = Role.VOLUNTEER
        person.save()
        assert patched(client, address, 0, b"abc").status_code == 403

    @pytest.mark.parametrize("method", ["post", "patch", "delete"])
    def test_without_the_token_of_the_form(self, method: str) -> None:
        """Another site cannot send in the name of who is signed in."""
        address = begun(signed_in(), 9)
        strict = Client(enforce_csrf_checks=True)
        strict.force_login(register.person(Role.CURATOR))
        place = UPLOADS if method == "post" else address
        answer = getattr(strict, method)(place, content_type=PIECE, headers=VERSION | {"Upload-Length": "9"})
        assert answer.status_code == 403
        assert Upload.objects.count() == 1


class TestAbandoned:
    def aged(self, seconds: float, token: str) -> None:
        """As if begun, by the clock of the register, and last added to, by that of the disk, so long ago."""
        then = time.time() - seconds
        Upload.objects.filter(token=token).update(started_at=timezone.now() - timedelta(seconds=seconds))
        if part_files():
            os.utime(part_files()[0], (then, then))

    @pytest.mark.parametrize(("hours", "is_kept"), [(23.9, True), (24.1, False)])
    def test_after_a_day(self, hours: float, is_kept: bool, client: Client) -> None:
        address = begun(client, 9)
        patched(client, address, 0, b"abc")
        self.aged(hours * 3600, Upload.objects.get().token)
        begun(client, 5)
        assert (client.get(address).status_code == 200) is is_kept
        assert bool(part_files()) is is_kept

    def test_old_and_still_going_on(self, client: Client) -> None:
        """What counts is the last byte, not the first."""
        address = begun(client, 9)
        patched(client, address, 0, b"abc")
        self.aged(100 * 3600, Upload.objects.get().token)
        os.utime(part_files()[0])
        begun(client, 5)
        assert patched(client, address, 3, b"def").status_code == 204

    def test_files_of_nobody(self, client: Client) -> None:
        """What a server left that stopped while a file came."""
        old, new = parts.uploads_folder() / "coming-old", parts.uploads_folder() / "coming-new"
        old.write_bytes(b"a")
        new.write_bytes(b"a")
        os.utime(old, (time.time() - 90_000,) * 2)
        begun(client, 5)
        assert (old.exists(), new.exists()) == (False, True)


@pytest.mark.django_db(transaction=True)
class TestOutsideClient:
    """tuspy, the client of the protocol's own authors, against a server that listens."""

    @pytest.fixture
    def headers(self) -> dict[str, str]:
        """A session, and the secret of the forms in cookie and header, as a page sends them."""
        client = signed_in()
        secret = "s" * 32
        session = client.cookies[settings.SESSION_COOKIE_NAME].value
        return {"Cookie": f"{settings.SESSION_COOKIE_NAME}={session}; csrftoken={secret}", "X-CSRFToken": secret}

    @pytest.fixture
    def content(self) -> bytes:
        """A text of 700 kB that cannot be confused with another piece of itself."""
        numbers = random.Random(4)
        return "\n".join(str(numbers.random()) for _ in range(36_000)).encode()

    @pytest.fixture
    def tus(self, live_server: Any, headers: dict[str, str]) -> Iterator[TusClient]:
        yield TusClient(live_server.url + reverse("scans:uploads"), headers=headers)

    def test_whole_file(self, tus: TusClient, content: bytes) -> None:
        uploader = tus.uploader(file_stream=io.BytesIO(content), chunk_size=100_000, metadata={"filename": "a.txt"})
        uploader.upload()
        scan = Scan.objects.get()
        assert (scan.sha256, scan.original_name) == (hashlib.sha256(content).hexdigest(), "a.txt")

    def test_with_checksums(self, tus: TusClient, content: bytes) -> None:
        tus.uploader(file_stream=io.BytesIO(content), chunk_size=300_000, upload_checksum=True).upload()
        assert Scan.objects.get().size_bytes == len(content)

    def test_taken_up_after_a_cut(self, tus: TusClient, content: bytes, headers: dict[str, str]) -> None:
        """The connection breaks in the middle of a piece. What the server then has is a beginning of the file; the
        client asks how much that is, goes on there, and the whole is what was meant to be sent."""
        uploader = tus.uploader(file_stream=io.BytesIO(content), chunk_size=200_000, metadata={"filename": "a.txt"})
        uploader.upload_chunk()
        assert uploader.url
        self.cut(uploader.url, 200_000, content[200_000:500_000], content[500_000:], headers)
        self.wait_until_it_stopped(200_000 + 262_144)
        token = Upload.objects.get().token
        have = parts.part_of(token).read_bytes()
        assert content.startswith(have)
        assert not Scan.objects.exists()
        again = tus.uploader(file_stream=io.BytesIO(content), chunk_size=200_000, url=uploader.url)
        assert again.offset == len(have) >= 462_144
        again.upload()
        assert Scan.objects.get().sha256 == hashlib.sha256(content).hexdigest()

    def cut(self, url: str, offset: int, sent: bytes, unsent: bytes, headers: dict[str, str]) -> None:
        """Announce a piece, send a part of it, and close the connection the hard way."""
        where = urlsplit(url)
        connection = http.client.HTTPConnection(where.hostname or "", where.port)
        connection.putrequest("PATCH", where.path)
        told = {"Content-Length": str(len(sent + unsent)), "Content-Type": PIECE, "Upload-Offset": str(offset)}
        for name, value in (headers | VERSION | told).items():
            connection.putheader(name, value)
        connection.endheaders()
        connection.send(sent)
        connection.sock.shutdown(socket.SHUT_RDWR)
        connection.close()

    def wait_until_it_stopped(self, received_bytes: int) -> None:
        """Until the server has noticed, at most a minute."""
        for _ in range(600):
            if Upload.objects.get().received_bytes >= received_bytes:
                return
            time.sleep(0.1)
        pytest.fail(f"the server has {Upload.objects.get().received_bytes} bytes")

    def test_without_a_session(self, live_server: Any) -> None:
        client = TusClient(live_server.url + reverse("scans:uploads"))
        with pytest.raises(TusCommunicationError):
            client.uploader(file_stream=io.BytesIO(b"abc"), chunk_size=10).upload()
        assert not Upload.objects.exists()
