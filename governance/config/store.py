"""Where scans are kept: the local disk, or an S3-compatible service, by one setting."""

from __future__ import annotations

from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

from django.core.exceptions import ImproperlyConfigured

_EXPECTED = "s3://BUCKET or s3://BUCKET/PREFIX?endpoint=https://HOST&region=NAME, or blank for the local disk"


def scan_store(address: str, folder: Path) -> dict[str, Any]:
    """The entry of ``STORAGES`` for an address. Keys of the service come from AWS_ACCESS_KEY_ID and
    AWS_SECRET_ACCESS_KEY, as its libraries read them.

    Raises:
        ImproperlyConfigured: the address is none that we know.
    """
    if not address:
        options: dict[str, Any] = {
            "location": folder, "base_url": None, "file_permissions_mode": 0o600, "directory_permissions_mode": 0o700,
        }  # fmt: skip
        return {"BACKEND": "django.core.files.storage.FileSystemStorage", "OPTIONS": options}
    parts = urlsplit(address)
    if parts.scheme != "s3" or not parts.netloc:
        raise ImproperlyConfigured(f"FIELDWRIT_STORE: found {address!r}; expected {_EXPECTED}")
    asked = {name: values[-1] for name, values in parse_qs(parts.query).items()}
    options = {
        "bucket_name": parts.netloc,
        "location": parts.path.strip("/"),
        "endpoint_url": asked.get("endpoint"),
        "region_name": asked.get("region"),
        "file_overwrite": False,
        "default_acl": None,
        "querystring_auth": True,
    }
    return {"BACKEND": "storages.backends.s3.S3Storage", "OPTIONS": options}
