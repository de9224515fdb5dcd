"""What the rows of a subject do not hold, and is therefore said beside every answer."""

from __future__ import annotations

from dataclasses import dataclass

from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from governance.audit.asking import Missing
from governance.audit.composer.conditions import Subject
from governance.audit.composer.telling import Ground
from governance.usedesk.models import MadeUse
from governance.verdicts.models import Standing
from governance.verdicts.queries.pending import pending_touches
from governance.verdicts.queries.specimens import specimen_count


@dataclass(frozen=True)
class LeftOut:
    """In words."""

    missing: tuple[Missing, ...] = ()
    kept_back: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def left_out(subject: Subject, ground: Ground) -> LeftOut:
    """Specimens without a verdict, changes that were not taken up, voided uses, what restricted papers say."""
    if subject is Subject.MATERIAL:
        return LeftOut(missing=_unjudged(), notes=_pending())
    if subject is Subject.USES:
        return LeftOut(notes=_voided())
    return LeftOut(kept_back=_restricted(ground)) if subject is Subject.PAPERS else LeftOut()


def _unjudged() -> tuple[Missing, ...]:
    n = specimen_count() - Standing.objects.count()
    if n <= 0:
        return ()
    words = ngettext(
        "%(n)s specimen has no verdict yet and is left out.", "%(n)s specimens have no verdict yet and are left out.", n
    )
    return (Missing(words % {"n": intcomma(n)}, n),)


def _pending() -> tuple[str, ...]:
    if not pending_touches():
        return ()
    return (_("Some changes wait for the next assessment: this answer is as of the last one."),)


def _voided() -> tuple[str, ...]:
    n = MadeUse.objects.filter(voided_at__isnull=False).count()
    words = ngettext("%(n)s voided entry is left out.", "%(n)s voided entries are left out.", n)
    return (words % {"n": intcomma(n)},) if n else ()


def _restricted(ground: Ground) -> tuple[str, ...]:
    n = sum(not row.is_readable for row in ground.papers)
    words = ngettext(
        "%(n)s paper is not open to your role: what is in it stays out.",
        "%(n)s papers are not open to your role: what is in them stays out.", n,
    )  # fmt: skip
    return (words % {"n": intcomma(n)},) if n else ()
