"""The headers of tus 1.0, the open protocol of resumable uploads (tus.io, "Resumable upload protocol 1.0.x"): the core
and the extensions creation, termination, checksum and expiration. Section names in comments are those of its text.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Mapping
from typing import Any

VERSION = "1.0.0"
EXTENSIONS = "creation,termination,checksum,expiration"
PIECE = "application/offset+octet-stream"

CHECKSUMS = ("sha256", "sha1", "md5")
"""Algorithms of the checksum of a piece; sha1 is the one that every server must know ("Checksum")."""

WRONG_CHECKSUM = 460
"""The protocol's own status: "460 Checksum Mismatch"."""


class TusError(Exception):
    """A request that is not answered as it wants. problem: a sentence for whoever looks into the client's log."""

    def __init__(self, status: int, problem: str, headers: Mapping[str, str] | None = None) -> None:
        super().__init__(problem)
        self.status = status
        self.problem = problem
        self.headers = dict(headers or {})


def method_of(method: str, headers: Mapping[str, str]) -> str:
    """The method, or the one that a client writes beside POST because its network lets no other through
    ("X-HTTP-Method-Override")."""
    asked = headers.get("X-HTTP-Method-Override", "").upper()
    return asked if method == "POST" and asked in ("PATCH", "DELETE", "HEAD") else method


def check_version(headers: Mapping[str, str]) -> None:
    """Another version must not be processed ("Tus-Resumable", "Tus-Version")."""
    said = headers.get("Tus-Resumable", "")
    if said != VERSION:
        raise TusError(412, f"Tus-Resumable: found {said!r}; expected {VERSION}.", {"Tus-Version": VERSION})


def number(headers: Mapping[str, str], name: str) -> int:
    """A length or an offset: "a non-negative integer"."""
    said = headers.get(name, "")
    if not (said.isascii() and said.isdigit() and len(said) <= 18):
        raise TusError(400, f"{name}: found {said!r}; expected a whole number of bytes.")
    return int(said)


def metadata(headers: Mapping[str, str]) -> dict[str, str]:
    """Pairs of a key and a value in Base64, separated by commas; a value may be missing ("Upload-Metadata")."""
    pairs: dict[str, str] = {}
    for pair in filter(None, (one.strip() for one in headers.get("Upload-Metadata", "").split(","))):
        key, _space, value = pair.partition(" ")
        pairs[key] = _decoded(value, "Upload-Metadata").decode("utf-8", "replace")
    return pairs


def checksum(headers: Mapping[str, str]) -> tuple[Any, bytes] | None:
    """An algorithm that has seen nothing, and what it must come to after the piece ("Upload-Checksum")."""
    said = headers.get("Upload-Checksum")
    if said is None:
        return None
    algorithm, _space, value = said.partition(" ")
    if algorithm not in CHECKSUMS:
        known = ", ".join(CHECKSUMS)
        raise TusError(400, f"Upload-Checksum: found the algorithm {algorithm!r}; expected one of {known}.")
    return hashlib.new(algorithm, usedforsecurity=False), _decoded(value, "Upload-Checksum")


def _decoded(value: str, header: str) -> bytes:
    try:
        return base64.b64decode(value, validate=True)
    except ValueError as error:  # also of characters that are no ASCII
        raise TusError(400, f"{header}: found {value[:60]!r}; expected Base64.") from error
