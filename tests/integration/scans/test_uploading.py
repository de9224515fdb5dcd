"""Files in pieces by the open protocol tus 1.0 (tus.io, "Resumable upload protocol 1.0.x"), with a client not ours."""

from __future__ import annotations

import io

import pytest
from django.test import Client
from django.urls import reverse
from tusclient.client import TusClient

from accessions.people.models import Role
from governance.scans.models import Scan, Upload
from tests.factories import register, scans

pytestmark = pytest.mark.django_db(transaction=True)


def test_outside_client_sends_a_file(live_server) -> None:
    client = Client()
    client.force_login(register.person(Role.CURATOR))
    client.get("/scans/uploads/")
    content = scans.pdf(pages=30, text="x\n" * 20)
    from django.middleware.csrf import _get_new_csrf_string
    secret = _get_new_csrf_string()
    headers = {"Cookie": f"sessionid={client.cookies['sessionid'].value}; csrftoken={secret}", "X-CSRFToken": secret}
    tus = TusClient(live_server.url + reverse("scans:uploads"), headers=headers)
    up = tus.uploader(file_stream=io.BytesIO(content), chunk_size=4000, metadata={"filename": "permit.pdf"})
    up.upload_chunk(); up.upload_chunk()
    assert Upload.objects.get().received_bytes == 8000
    again = tus.uploader(file_stream=io.BytesIO(content), chunk_size=4000, url=up.url)
    assert again.offset == 8000
    again.upload()
    print(client.get(up.url.removeprefix(live_server.url)).json())
    scan = Scan.objects.get()
    assert scan.size_bytes == len(content)
