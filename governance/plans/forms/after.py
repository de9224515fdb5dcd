"""What the comparison after the trip is narrowed to."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form
from governance.plans.queries.after import EventAfter
from governance.plans.queries.what_matters import Weight

SHOW: Final = (
    ("", _("All events")),
    ("matters", _("With a difference that matters")),
    ("untold", _("Cannot be told yet")),
    ("different", _("With any difference")),
    ("planned", _("As planned")),
)
"""By the word in the address."""


class AfterFilterForm(Form):
    """Which events are shown. A word that makes no sense shows all."""

    show = forms.ChoiceField(label=_("Show"), required=False, choices=SHOW)

    @property
    def choice(self) -> str:
        return self.cleaned_data.get("show", "") if self.is_bound and self.is_valid() else ""

    def shown(self, events: Iterable[EventAfter]) -> list[EventAfter]:
        """The events that are asked for."""
        return [event for event in events if _fits(event, self.choice)]


def _fits(event: EventAfter, choice: str) -> bool:
    weights = {difference.weight for difference in event.differences}
    return {
        "matters": Weight.MATTERS in weights,
        "untold": Weight.UNTOLD in weights or bool(event.unknown),
        "different": bool(event.differences),
        "planned": event.is_as_planned,
    }.get(choice, True)
