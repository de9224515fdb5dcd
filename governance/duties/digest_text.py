"""A digest of duties as the plain text of a mail."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Final

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from governance.duties.queries.listing import DutyLine
from governance.duties.queries.reminders import Digest
from governance.duties.words import day_words, days_words

MOST: Final = 40
"""Duties that one part of a mail lists; the others are counted."""


def subject(digest: Digest, ahead: int) -> str:
    """ "Duties: 2 late, 3 due within 30 days"."""
    parts = []
    if digest.late:
        parts.append(ngettext("%(n)d late", "%(n)d late", len(digest.late)) % {"n": len(digest.late)})
    if digest.due:
        told = {"n": len(digest.due), "days": ahead}
        parts.append(ngettext("%(n)d due within %(days)d days", "%(n)d due within %(days)d days", told["n"]) % told)
    if digest.new:
        parts.append(ngettext("%(n)d new", "%(n)d new", len(digest.new)) % {"n": len(digest.new)})
    if n := len(digest.unknown):
        words = ngettext("%(n)d of which the day is not known", "%(n)d of which the day is not known", n)
        parts.append(words % {"n": n})
    return _("Duties: %(parts)s") % {"parts": ", ".join(parts)}


def text(digest: Digest, *, today: date, ahead: int, site: str) -> str:
    """The mail. Every line of a duty is followed by its address."""
    return "\n".join(_lines(digest, today, ahead, site)) + "\n"


def _lines(digest: Digest, today: date, ahead: int, site: str) -> Iterator[str]:
    yield _("Duties as they stand on %(day)s, for %(name)s") % {"day": day_words(today), "name": digest.user.shown_name}
    yield from _part(pgettext("duties", "Late"), digest.late, today, site)
    yield from _part(_("Due within %(n)d days") % {"n": ahead}, digest.due, today, site)
    yield from _part(_("New, and further ahead"), digest.new, today, site)
    yield from _part(_("The day is not known"), digest.unknown, today, site)
    yield ""
    yield _("All duties: %(address)s") % {"address": site + reverse("duties:duties")}
    yield _("What you are told of, and whether: %(address)s") % {"address": site + reverse("duties:reminders")}


def _part(heading: str, found: Sequence[DutyLine], today: date, site: str) -> Iterator[str]:
    if not found:
        return
    yield from ("", f"{heading} ({len(found)})", "")
    for line in found[:MOST]:
        yield _duty(line, today)
        yield f"  {site}{reverse('duties:duty', args=[line.duty.pk])}"
    if len(found) > MOST:
        yield _("- and %(n)d more") % {"n": len(found) - MOST}


def _duty(line: DutyLine, today: date) -> str:
    """ "- 31 January 2027, in 5 days: Report on what was taken. To the Directorate. COL-2024-052. J. Ek." """
    duty = line.duty
    told = [" ".join(line.what.split()).rstrip(".")]
    if line.to_whom:
        told.append(_("To %(whom)s") % {"whom": line.to_whom.rstrip(".")})
    if duty.paper:
        told.append(duty.paper.reference)
    told.append(duty.assignee.shown_name if duty.assignee else _("nobody sees to it"))
    day = f"{day_words(duty.due_on)}, {days_words(duty.due_on, today)}: " if duty.due_on else ""
    return f"- {day}{'. '.join(told)}."
