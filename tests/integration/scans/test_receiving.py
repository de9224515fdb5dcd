"""Receipt of files: what is kept, under which name, once."""

from __future__ import annotations

import hashlib
import io

import pytest

from accessions.people.models import Role
from governance.scans.actions.receiving import RefusedFile, receive
from governance.scans.models import Scan
from governance.scans.queries.store import open_content
from tests.factories import register, scans

pytestmark = pytest.mark.django_db


def test_content_is_kept_as_it_came() -> None:
    content = scans.pdf(pages=3)
    received = receive(data=io.BytesIO(content), name="C:\\scans\\permit.pdf", by=register.person(Role.CURATOR))
    scan = Scan.objects.get()
    assert (received.scan, received.was_known) == (scan, False)
    assert scan.sha256 == hashlib.sha256(content).hexdigest()
    assert (scan.size_bytes, scan.media_type, scan.page_count) == (len(content), "application/pdf", 3)
    assert scan.original_name == "permit.pdf"
    with open_content(scan) as kept:
        assert kept.read() == content


def test_zero() -> None:
    with pytest.raises(RefusedFile, match="empty"):
        receive(data=io.BytesIO(b""), name="a", by=register.person())
