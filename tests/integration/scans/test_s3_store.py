"""The store as a bucket, by one setting, against a local server of the S3 protocol (moto, not ours)."""

from __future__ import annotations

import io
import json
from collections.abc import Iterator
from typing import Any

import boto3
import pytest
from django.core.management import call_command
from django.test import Client
from django.urls import reverse
from moto.server import ThreadedMotoServer

from accessions.people.models import Role
from governance.config.store import scan_store
from governance.scans.actions.receiving import RefusedFile, receive
from governance.scans.models import Scan
from governance.scans.queries.store import content_on_disk, open_content
from tests.factories import register, scans

pytestmark = [pytest.mark.django_db, pytest.mark.filterwarnings("ignore::DeprecationWarning")]

BUCKET, PREFIX = "lindmark-scans", "register"


@pytest.fixture(scope="module")
def server() -> Iterator[str]:
    running = ThreadedMotoServer(ip_address="127.0.0.1", port=0, verbose=False)
    running.start()
    host, port = running.get_host_and_port()
    yield f"http://{host}:{port}"
    running.stop()


@pytest.fixture
def bucket(server: str, settings: Any, monkeypatch: pytest.MonkeyPatch, tmp_path: Any) -> Iterator[Any]:
    """An empty bucket that the setting names; deletes and looks here are past our code."""
    for name, value in {"AWS_ACCESS_KEY_ID": "testing", "AWS_SECRET_ACCESS_KEY": "testing"}.items():
        monkeypatch.setenv(name, value)
    service = boto3.client("s3", endpoint_url=server, region_name="eu-north-1")
    service.create_bucket(Bucket=BUCKET, CreateBucketConfiguration={"LocationConstraint": "eu-north-1"})
    address = f"s3://{BUCKET}/{PREFIX}?endpoint={server}&region=eu-north-1"
    settings.STORAGES = settings.STORAGES | {"scans": scan_store(address, tmp_path)}
    yield service
    for key in keys(service):
        service.delete_object(Bucket=BUCKET, Key=key)
    service.delete_bucket(Bucket=BUCKET)


def keys(service: Any) -> list[str]:
    return [one["Key"] for one in service.list_objects_v2(Bucket=BUCKET).get("Contents", [])]


def received(content: bytes, name: str = "permit.pdf") -> Scan:
    return receive(data=io.BytesIO(content), name=name, by=register.person(Role.CURATOR)).scan


def report() -> tuple[int, dict[str, Any]]:
    out, code = io.StringIO(), 0
    try:
        call_command("check_files_intact", "--json", stdout=out)
    except SystemExit as exit:
        code = int(exit.code or 0)
    return code, json.loads(out.getvalue())


def test_received_and_read_back(bucket: Any) -> None:
    scan = received(scans.pdf(pages=3))
    assert keys(bucket) == [f"{PREFIX}/{scan.stored_name}"]
    raw = bucket.get_object(Bucket=BUCKET, Key=f"{PREFIX}/{scan.stored_name}")["Body"].read()
    assert raw == scans.pdf(pages=3)
    with open_content(scan) as content:
        assert content.read() == raw
    with content_on_disk(scan) as path:
        assert path.read_bytes() == raw
    assert not path.exists()


def test_file_as_attachment(bucket: Any) -> None:
    scan = received(scans.png(), "label.png")
    client = Client()
    client.force_login(register.person(Role.CURATOR))
    answer = client.get(reverse("scans:scan-file", args=[scan.pk]))
    assert answer.getvalue() == scans.png()  # type: ignore[attr-defined]
    assert answer["Content-Disposition"] == 'attachment; filename="label.png"'


def test_same_content_once(bucket: Any) -> None:
    assert received(scans.png()) == received(scans.png())
    assert len(keys(bucket)) == 1


def test_what_is_refused_leaves_nothing(bucket: Any) -> None:
    with pytest.raises(RefusedFile):
        received(b"<svg/>")
    assert keys(bucket) == []


def test_lost_content_is_put_back(bucket: Any) -> None:
    scan = received(scans.png())
    bucket.delete_object(Bucket=BUCKET, Key=f"{PREFIX}/{scan.stored_name}")
    with pytest.raises(FileNotFoundError):
        open_content(scan)
    received(scans.png())
    with open_content(scan) as content:
        assert content.read() == scans.png()


def test_intact(bucket: Any) -> None:
    scan = received(scans.png())
    code, told = report()
    assert (code, told["is_intact"], told["intact_bytes"]) == (0, True, scan.size_bytes)


def test_missing_altered_and_orphaned(bucket: Any) -> None:
    intact, lost, changed = received(scans.pdf(1)), received(scans.pdf(2)), received(scans.pdf(3))
    bucket.delete_object(Bucket=BUCKET, Key=f"{PREFIX}/{lost.stored_name}")
    bucket.put_object(Bucket=BUCKET, Key=f"{PREFIX}/{changed.stored_name}", Body=b"something else")
    bucket.put_object(Bucket=BUCKET, Key=f"{PREFIX}/ab/stray", Body=b"12345")
    bucket.put_object(Bucket=BUCKET, Key="of/another/program", Body=b"not ours")
    code, told = report()
    assert code == 1
    assert (told["scans"], told["intact"], told["intact_bytes"]) == (3, 1, intact.size_bytes)
    assert [one["stored_name"] for one in told["missing"]] == [lost.stored_name]
    assert [(one["stored_name"], one["found_bytes"]) for one in told["altered"]] == [(changed.stored_name, 14)]
    assert told["orphaned"] == [{"stored_name": "ab/stray", "size_bytes": 5}]


def test_bucket_that_is_not_there(bucket: Any, settings: Any, tmp_path: Any, server: str) -> None:
    scans.scan(stored=False)
    settings.STORAGES = settings.STORAGES | {"scans": scan_store(f"s3://nowhere?endpoint={server}", tmp_path)}
    with pytest.raises(SystemExit) as exit:
        call_command("check_files_intact")
    assert exit.value.code == 2
