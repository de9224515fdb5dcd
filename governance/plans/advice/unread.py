"""Papers that are on file without their terms."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext as _

from governance.plans.advice.saying import STOPS, Deed, Draft
from governance.plans.advice.trials import Case


def unread_papers(case: Case) -> Iterator[Draft]:
    """Nothing can be tried: what such a paper says is not known."""
    if "paper-unread" not in case.answer.codes:
        return
    for used in case.answer.papers:
        words = _("%(paper)s is on file without its terms. Enter them, so that %(stops)s can be held against it.") % {
            "paper": used.reference, "stops": STOPS,
        }  # fmt: skip
        yield Draft("unread", words, case.row.stop, case.layer, (used,), deed=Deed("terms", used.pk))
