"""Signing in, with a wait after repeated wrong passwords."""

from __future__ import annotations

import math
from datetime import datetime, timedelta

from django.contrib.auth import authenticate, login
from django.http import HttpRequest
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.people.models import SignInFailure, User
from accessions.people.queries import FAILURES_ALLOWED, WAIT, sign_in_key, waiting_until


class SignInRefusedError(Exception):
    """Nobody was signed in; the text says why and what to do, and never whether the name exists."""


def sign_in(request: HttpRequest, *, username: str, password: str, now: datetime | None = None) -> User:
    """Sign a person in for this browser.

    After ``FAILURES_ALLOWED`` wrong passwords within ``WAIT`` no password is tried for that name until the wait is
    over, wherever the tries come from: the addresses of visitors are not to be believed behind a proxy, and many
    addresses are cheap. Somebody could make a colleague wait that way, but not end an open session, and an
    administrator lifts the wait with a new password.

    Raises:
        SignInRefusedError: wrong name or password, a deactivated account, or a name that has to wait.
    """
    now = now or timezone.now()
    until = waiting_until(username, now)
    if until is not None:
        raise SignInRefusedError(_wait_words(until - now))
    person = authenticate(request, username=username, password=password)
    if isinstance(person, User):
        SignInFailure.objects.filter(name_key=sign_in_key(username)).delete()
        _let_in(request, person)
        return person
    raise SignInRefusedError(_count_failure(username, now))


def _let_in(request: HttpRequest, person: User) -> None:
    """Start the session. That somebody came in is no change of the person, so it leaves no history."""
    person.skip_history_when_saving = True  # type: ignore[attr-defined]  # read by simple_history
    try:
        login(request, person)
    finally:
        del person.skip_history_when_saving  # type: ignore[attr-defined]


def _count_failure(username: str, now: datetime) -> str:
    """Keep the failure, forget those that no longer count, and say what it means."""
    SignInFailure.objects.filter(failed_at__lte=now - 2 * WAIT).delete()
    SignInFailure.objects.create(name_key=sign_in_key(username), failed_at=now)
    until = waiting_until(username, now)
    if until is not None:
        return _wait_words(until - now)
    return _(
        "This name and password do not go together. Check capital letters and the keyboard’s language, then try again."
    )


def _wait_words(left: timedelta) -> str:
    minutes = max(1, math.ceil(left.total_seconds() / 60))
    return ngettext(
        "The password for this name was wrong %(tries)s times. It can be tried again in %(minutes)s minute, or an "
        "administrator can give it a new password.",
        "The password for this name was wrong %(tries)s times. It can be tried again in %(minutes)s minutes, or an "
        "administrator can give it a new password.",
        minutes,
    ) % {"tries": FAILURES_ALLOWED, "minutes": minutes}
