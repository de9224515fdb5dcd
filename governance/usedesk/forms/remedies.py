"""What people type of remedies."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from accessions.people.entry_forms import Form, offer, why_field
from governance.papers.models import Paper
from governance.papers.restriction import is_readable
from governance.usedesk.models import MadeUse


class RemedyForm(Form):
    """What is to be done, by when, under which of the papers that decided. old: asks why it is changed."""

    what = forms.CharField(label=_("What is to be done"), widget=forms.Textarea(attrs={"lines": 4}))
    due_on = forms.DateField(label=pgettext_lazy("deadline", "By"), required=False)
    paper = forms.ChoiceField(
        label=_("Under paper"), required=False,
        help_text=_("One that decided then; the words of a remedy are as open as its paper"),
    )  # fmt: skip
    why = why_field(required=True)

    def __init__(self, *args: Any, made: MadeUse, reader: Any, is_new: bool = False, **more: Any) -> None:
        super().__init__(*args, **more)
        keys = {one["paper"] for reasons in _reasons(made) for one in reasons if one.get("paper")}
        rows = Paper.objects.filter(pk__in=keys).only("pk", "reference", "restricted_to").order_by("reference")
        self.papers = {str(paper.pk): paper for paper in rows if is_readable(paper, reader)}
        offer(self.fields["paper"], [("", _("None")), *((pk, paper.reference) for pk, paper in self.papers.items())])
        if is_new:
            del self.fields["why"]

    def values(self) -> dict[str, Any]:
        """The columns of the remedy."""
        told = self.cleaned_data
        return {"what": told["what"], "due_on": told["due_on"], "paper": self.papers.get(told["paper"])}


def _reasons(made: MadeUse) -> Any:
    return made.items.order_by().values_list("reasons", flat=True).distinct()


class EndForm(Form):
    """How a remedy ended."""

    done_on = forms.DateField(label=_("Ended on"))
    done_how = forms.CharField(
        label=_("How it ended"), widget=forms.Textarea(attrs={"lines": 3}),
        help_text=_("Such as: the provider agreed afterwards, letter filed; the specimens were called back"),
    )  # fmt: skip
