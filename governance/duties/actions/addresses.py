"""The secret address at which a person's calendar program reads duties: made, ended, read."""

from __future__ import annotations

import hashlib
import secrets
from datetime import date
from typing import Any, Final

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from accessions.people.access import Verb, check
from accessions.people.models import User
from governance.duties.actions.errors import DutyError
from governance.duties.models import CalendarAddress

_BYTES: Final = 32


def hash_of(secret: str) -> str:
    """What is kept of a secret: it is long and random, so that nothing slower than SHA-256 is needed."""
    return hashlib.sha256(secret.encode()).hexdigest()


def new_address(*, is_all: bool, by: Any) -> str:
    """A new secret for the person, which ends the old one. Returned once: only its hash is kept.

    is_all: all duties, not only one's own.
    """
    check(by, Verb.EXPORT)
    secret = secrets.token_urlsafe(_BYTES)
    with transaction.atomic():
        _hold(by)
        _end(by)
        CalendarAddress.objects.create(user=by, secret_sha256=hash_of(secret), is_all=is_all, made_by=by)
    return secret


def end_address(*, by: Any) -> None:
    """The person's address ends: who asks for it gets nothing any more.

    Raises:
        DutyError: there is none.
    """
    check(by, Verb.READ)
    with transaction.atomic():
        _hold(by)
        if not _end(by):
            raise DutyError(_("You have no calendar address."))


def _hold(by: Any) -> None:
    """Two pages of one person must not both make an address: the second waits for the first."""
    User.objects.select_for_update().get(pk=by.pk)


def _end(by: Any) -> int:
    standing = CalendarAddress.objects.filter(user=by, ended_at__isnull=True)
    return standing.update(ended_at=timezone.now(), ended_by=by)


def note_reading(address: CalendarAddress, today: date) -> None:
    """Keep the day on which a calendar program last read the address; written once a day at most, however often
    programs ask."""
    if address.read_on != today:
        CalendarAddress.objects.filter(pk=address.pk).update(read_on=today)
