"""Which specimens a committed file made, and what people changed of them since: read from the histories.

A commit is the only one that goes on (PostgreSQL: by its lock; SQLite has one writer), and writes the history of its
specimens before that of the file. So they are those that its person added with its reason between the commit before and
this one; and there are as many of them as the summary of the file says, or else nobody knows for certain.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from typing import Any, Final

from django.db.models import Max, Q
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from accessions.intake.models import Batch
from accessions.material.bonds import InTheWay, Keys
from accessions.material.models import Specimen
from accessions.people.bulk import among
from accessions.people.history import CHANGED, CREATED

_TIE: Final = timedelta(milliseconds=1)
"""SQLite holds moments as text, in two forms that differ by less."""


class MadeUnknownError(LookupError):
    """Nobody knows for certain which specimens a file made. Its text is for people."""


def specimens_made(batch: Batch) -> list[int]:
    """Keys of all specimens that the commit of a file made, also of those that are gone by now. Three queries.

    Raises:
        MadeUnknownError: the histories do not tell as many as the commit counted.
    """
    entries = Batch.history.filter(state=Batch.State.COMMITTED)
    own = entries.filter(id=batch.pk).order_by("history_id").first()
    found: list[int] = []
    if own is not None:
        before = entries.filter(history_date__lt=own.history_date).exclude(id=batch.pk)
        since = before.aggregate(newest=Max("history_date"))["newest"]
        made = Specimen.history.filter(
            _of_reason(own.history_change_reason), history_type=CREATED, history_user=own.history_user_id,
            history_date__lt=own.history_date + _TIE,
        )  # fmt: skip
        if since is not None:
            made = made.filter(history_date__gt=since)
        found = list(made.order_by("id").values_list("id", flat=True))
    if own is None or len(found) != batch.summary.get("new"):
        raise MadeUnknownError(_("The histories do not tell for certain which specimens this file made."))
    return found


def _of_reason(why: str | None) -> Q:
    return Q(history_change_reason=why) if why else Q(history_change_reason="") | Q(history_change_reason__isnull=True)


def still_there(keys: Keys) -> list[int]:
    """Of some specimens those that are in the register, ascending."""
    return list(Specimen.objects.filter(among("pk", keys)).order_by("pk").values_list("pk", flat=True))


def changed_since(keys: Keys) -> Iterator[InTheWay]:
    """The newest change of each specimen after it was made, by a person or by another file. One query."""
    entries: Any = Specimen.history.filter(among("id", keys), history_type=CHANGED).select_related("history_user")
    newest = {entry.id: entry for entry in entries.order_by("history_id")}
    for key, entry in sorted(newest.items()):
        who = entry.history_user.shown_name if entry.history_user else _("the register")
        said = {
            "day": date_format(timezone.localtime(entry.history_date), "j F Y"), "who": who,
            "why": entry.history_change_reason or "–",
        }  # fmt: skip
        words = _("It was changed on %(day)s by %(who)s: %(why)s")
        yield InTheWay(key, words % said, reverse("material:specimen-edit", args=[key]))
