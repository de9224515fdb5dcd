"""The secret in the address of a shared page: 32 random bytes, signed. The register keeps its SHA-256 alone."""

from __future__ import annotations

import hashlib
import secrets
from typing import Final

from django.core import signing

_SALT: Final = "fieldwrit.shared-page"
_BYTES: Final = 32


def new_token() -> str:
    """A token for a new address."""
    return signing.Signer(salt=_SALT, sep=".").sign(secrets.token_urlsafe(_BYTES))


def digest_of(token: str) -> str:
    """By what a link is found: SHA-256 of the secret; "" where the signature is not of this register."""
    try:
        secret = signing.Signer(salt=_SALT, sep=".").unsign(token)
    except signing.BadSignature:
        return ""
    return hashlib.sha256(secret.encode()).hexdigest()
