"""Days as people write them, and the moments of the register that they mean."""

from __future__ import annotations

from datetime import UTC, date, datetime, time

from django.apps import apps
from django.db import connection, models
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from governance.audit.clocks.errors import AsKnownError


def moment_of(day: date) -> datetime:
    """The last moment of a day where the museum is: what was known on that day.

    Of an hour that the clocks show twice the later one counts.
    """
    return datetime.combine(day, time.max, tzinfo=timezone.get_default_timezone()).replace(fold=1)


def literal(moment: datetime) -> str:
    """A moment as the database writes it, in quotes: a view takes no parameters.

    SQLite holds moments as text in UTC, of which models write none and plain statements write "+00:00" at the end. With
    that end the moment is not before either of its two forms, and before every later one: "+" stands before ".".
    """
    text = str(connection.ops.adapt_datetimefield_value(moment))
    return f"'{text}'::timestamptz" if connection.vendor == "postgresql" else f"'{text}+00:00'"


def in_order(column: str) -> str:
    """A column of moments as an order by time, whichever way they are written."""
    return column if connection.vendor == "postgresql" else f"replace({column}, '+00:00', '')"


def check_known(moment: datetime) -> None:
    """Refuse moments before anything was entered.

    Raises:
        AsKnownError: nothing was entered by then; says when the first record was.
    """
    first = _first_record()
    if first is None:
        raise AsKnownError(_("Nothing has been entered in the register yet, so nothing was known at that moment."))
    if moment < first:
        words = _("The first record was entered on %(day)s. Ask about that day or a later one.")
        raise AsKnownError(words % {"day": date_format(timezone.localtime(first), "j F Y, H:i")})


def tracked_models() -> list[type[models.Model]]:
    """The models that keep their history."""
    return [one for one in apps.get_models() if hasattr(one, "history") and not hasattr(one, "instance_type")]


def _first_record() -> datetime | None:
    """One query: the smallest of the first entries of each history, each read from its index."""
    quote = connection.ops.quote_name
    histories = [model.history.model for model in tracked_models()]  # type: ignore[attr-defined]
    firsts = " UNION ALL ".join(f"SELECT min(history_date) AS at FROM {quote(h._meta.db_table)}" for h in histories)
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT min(at) FROM ({firsts}) firsts")
        (first,) = cursor.fetchone()
    if isinstance(first, str):
        first = datetime.fromisoformat(first)
    return first.replace(tzinfo=UTC) if first is not None and timezone.is_naive(first) else first
