"""A papers file to take, and the answers it asks for."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form, why_field
from governance.papers.queries.import_plan import ImportPlan

ANSWERS = [("take", _("take what the file says")), ("keep", _("keep what stands here"))]


class FileForm(Form):
    """The file."""

    file = forms.FileField(
        label=_("Papers file"), help_text=_("JSON, as another register or a check of files writes it")
    )


class AnswerForm(Form):
    """One answer a paper that differs; one for links to what is not here."""

    why = why_field(required=False)

    def __init__(self, *args: Any, plan: ImportPlan, **more: Any) -> None:
        super().__init__(*args, **more)
        self.names = {f"paper_{n}": paper.reference for n, paper in enumerate(plan.changed)}
        for name, reference in self.names.items():
            self.fields[name] = forms.ChoiceField(
                label=reference, choices=ANSWERS, widget=forms.RadioSelect,
                error_messages={"required": _t("Say whether to take it or to keep what stands here.")},
            )  # fmt: skip
        if plan.unknown:
            self.fields["leave_out"] = forms.BooleanField(
                label=_("Leave these links out for now; the same file brings them later, once they are here"),
                error_messages={
                    "required": _t("The file links papers to what is not in the register. Agree to leave that out, "
                                   "or enter it first and take the file then.")
                },
            )  # fmt: skip

    def answers(self) -> dict[str, Any]:
        """``take`` or ``keep`` by reference."""
        return {reference: self.cleaned_data[name] for name, reference in self.names.items()}
