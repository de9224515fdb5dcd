"""The daily mails: at most one a day to a person, and a mail that fails does not stop the others."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from smtplib import SMTPException

from django.core.mail import EmailMessage
from django.db import IntegrityError, transaction

from governance.duties.digest_text import subject, text
from governance.duties.models import ReminderSent
from governance.duties.queries.listing import ahead_days
from governance.duties.queries.reminders import Digest, digests


@dataclass(frozen=True)
class Outcome:
    """What became of one digest. problem: why it did not go out; "" where it did, or would."""

    digest: Digest
    message: EmailMessage
    problem: str = ""


def send_digests(*, today: date, site: str, dry_run: bool = False) -> list[Outcome]:
    """Send the digests of the day; dry_run: only say which.

    A digest is claimed before it is sent, so that two runs at once do not both send it, and given back where it fails,
    so that the next run tries again. No lock is held while a mail server is spoken to.
    """
    ahead = ahead_days()
    outcomes = []
    for digest in digests(today, ahead):
        message = EmailMessage(
            subject(digest, ahead), text(digest, today=today, ahead=ahead, site=site), to=[digest.user.email]
        )
        if dry_run:
            outcomes.append(Outcome(digest, message))
        elif _claim(digest, today):
            outcomes.append(_sent(digest, message, today))
    return outcomes


def _claim(digest: Digest, today: date) -> bool:
    try:
        with transaction.atomic():
            ReminderSent.objects.create(user=digest.user, on=today, duties=digest.count)
    except IntegrityError:
        return False
    return True


def _sent(digest: Digest, message: EmailMessage, today: date) -> Outcome:
    try:
        message.send()
    except (SMTPException, OSError, ValueError) as error:  # ValueError: an address that no mail can have
        ReminderSent.objects.filter(user=digest.user, on=today).delete()
        return Outcome(digest, message, f"{type(error).__name__}: {error}")
    return Outcome(digest, message)
