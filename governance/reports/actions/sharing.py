"""Shared pages: a link is made, changed, revoked; its openings are logged; readers write, the museum reads.

Openings and messages are of strangers: the link is their right, so these two ask for no person.
"""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, timedelta
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from accessions.people.access import Verb, check
from accessions.people.editing import add, change
from accessions.people.history import record, remove
from governance.jurisdictions.codes import is_country
from governance.papers.restriction import check_readable
from governance.reports.actions.errors import ReportError
from governance.reports.models import Report, ShareLink, ShareMessage, ShareReport, ShareVisit
from governance.reports.queries.shares import LinkState, reports_to_share, state_of
from governance.reports.shared_tokens import digest_of, new_token

MOST_DAYS: Final = 366
MESSAGES_A_DAY: Final = 5
LONGEST_MESSAGE: Final = 4_000
FIELDS: Final = ("name", "language", "greeting", "shows_material", "takes_messages", "open_until")


class ClosedPageError(ReportError):
    """A page takes no messages, or was closed in the meantime."""


class TooManyMessagesError(ReportError):
    """A link took as many messages as it takes on a day."""


def make_link(*, by: Any, why: str, reports: Collection[Report] = (), **values: Any) -> tuple[ShareLink, str]:
    """Make a page for one reader. Returns the link and its token, which is kept nowhere: show it once.

    Raises:
        RestrictedPaperError: the paper is not open to the person.
        ReportError: a report that is about something else, or not issued.
        ValidationError: a value that the register does not hold; by field.
    """
    check(by, Verb.SHARE_REPORTS)
    if values.get("paper") is not None:
        check_readable(values["paper"], by)
    _refuse(values)
    token = new_token()
    with transaction.atomic():
        link = ShareLink(made_by=by, secret_sha256=digest_of(token), **values)
        add(link, by=by, why=why)
        _offer(link, reports, by=by, why=why)
    return link, token


def change_link(
    link: ShareLink, *, by: Any, why: str, reports: Collection[Report] | None = None, **values: Any
) -> bool:  # fmt: skip
    """Change what a page says, offers, or how long it is open. Returns whether anything changed.

    Raises:
        RestrictedPaperError: the paper is not open to the person.
        ReportError: it was revoked, or a report is about something else, or not issued.
        ValidationError: a value that the register does not hold; by field.
    """
    check(by, Verb.SHARE_REPORTS)
    _refuse(values)
    with transaction.atomic():
        current = _held(link, by)
        changed = bool(change(current, values, editable=FIELDS, by=by, why=why)) if values else False
        return (reports is not None and _offer(current, reports, by=by, why=why)) or changed


def revoke(link: ShareLink, *, by: Any, why: str) -> None:
    """Close a page before its last day, for good.

    Raises:
        RestrictedPaperError: the paper is not open to the person.
        ReportError: it was revoked already, or no reason is given.
    """
    check(by, Verb.SHARE_REPORTS)
    if not why.strip():
        raise ReportError(_("Say why it is revoked."))
    with transaction.atomic():
        current = _held(link, by)
        current.revoked_at, current.revoked_by, current.revoked_why = timezone.now(), by, why.strip()[:200]
        record(current, by=by, why=why, fields=["revoked_at", "revoked_by", "revoked_why"])
    link.refresh_from_db()


def mark_message(message: ShareMessage, *, by: Any, is_read: bool) -> None:
    """Say that a message was read, or that it wants another look."""
    check(by, Verb.SHARE_REPORTS)
    with transaction.atomic():
        current = ShareMessage.objects.select_for_update(of=("self",)).select_related("link__paper").get(pk=message.pk)
        if current.link.paper is not None:
            check_readable(current.link.paper, by)
        if (current.read_at is not None) == is_read:
            return
        current.read_at, current.read_by = (timezone.now(), by) if is_read else (None, None)
        record(
            current,
            by=by,
            why=gettext_noop("read") if is_read else gettext_noop("not read"),
            fields=["read_at", "read_by"],
        )


def log_visit(link: ShareLink, what: ShareVisit.What, *, report: Report | None = None, form: str = "") -> None:
    """Write that a page was opened, a file taken, or the address refused. Nothing of the visitor is kept."""
    ShareVisit.objects.create(link=link, what=what, report=report, format=form)


def leave_message(link: ShareLink, *, name: str, contact: str, text: str) -> ShareMessage:
    """Keep what a reader wrote.

    Raises:
        TooManyMessagesError: the link took as many as it takes in 24 hours.
        ClosedPageError: the page takes no messages, or is open no longer.
        ValidationError: blank, or too long.
    """
    with transaction.atomic():
        current = ShareLink.objects.select_for_update().get(pk=link.pk)
        if not current.takes_messages or state_of(current, timezone.localdate()) != LinkState.OPEN:
            raise ClosedPageError(_("This page takes no messages."))
        since = timezone.now() - timedelta(days=1)
        if current.messages.filter(received_at__gte=since).count() >= MESSAGES_A_DAY:
            raise TooManyMessagesError(_("The messages of a day are used up."))
        message = ShareMessage(link=current, name=name, contact=contact, text=text[: LONGEST_MESSAGE + 1])
        if len(message.text) > LONGEST_MESSAGE:
            raise ValidationError({"text": _("The message is too long.")})
        add(message, by=None, why=gettext_noop("from a shared page"))
    return message


def _held(link: ShareLink, by: Any) -> ShareLink:
    current = ShareLink.objects.select_for_update(of=("self",)).select_related("paper").get(pk=link.pk)
    if current.paper is not None:
        check_readable(current.paper, by)
    if current.revoked_at is not None:
        raise ReportError(_("This page was revoked. Make a new one."))
    return current


def _offer(link: ShareLink, reports: Collection[Report], *, by: Any, why: str) -> bool:
    """Offer these reports and no others. Returns whether that changed anything."""
    allowed = set(
        reports_to_share(by, country=link.country, paper=link.paper_id, agent=link.agent_id).values_list(
            "pk", flat=True
        )
    )
    wanted, had = {one.pk: one for one in reports}, {one.report_id: one for one in link.shared_reports.all()}
    strange = [str(one) for pk, one in wanted.items() if pk not in allowed and pk not in had]
    if strange:
        raise ReportError(
            _("%(reports)s: not issued, withdrawn, or about something else than this page.")
            % {"reports": ", ".join(strange)}
        )
    for pk in wanted.keys() - had.keys():
        add(ShareReport(link=link, report=wanted[pk]), by=by, why=why)
    for pk in had.keys() - wanted.keys():
        remove(had[pk], by=by, why=why)
    return wanted.keys() != had.keys()


def _refuse(values: dict[str, Any]) -> None:
    """Days and countries that cannot be.

    Raises:
        ValidationError: by field.
    """
    problems, today, day = {}, timezone.localdate(), values.get("open_until")
    if isinstance(day, date) and day < today:
        problems["open_until"] = _("This day has passed. To close a page now, revoke it.")
    elif isinstance(day, date) and day > today + timedelta(MOST_DAYS):
        problems["open_until"] = _("A page is open for %(n)d days at most.") % {"n": MOST_DAYS}
    if (code := values.get("country")) and not is_country(code):
        problems["country"] = _("“%(code)s” is no country of ISO 3166-1.") % {"code": code}
    if problems:
        raise ValidationError(problems)
