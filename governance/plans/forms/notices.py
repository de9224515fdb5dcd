"""Recording a notice, and taking it off."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form, why_field
from governance.papers.models import Paper
from governance.plans.models import FieldPlan, PlanNotice, Stop
from governance.plans.queries.notices import papers_for_notice


class NoticeForm(Form):
    """Under which paper, when, to whom and how; for one stop, or for all."""

    paper = forms.ModelChoiceField(
        Paper.objects.none(), label=_("Paper that asks for it"), empty_label=_("choose a paper"),
        error_messages={"required": _("Choose the paper under which notice was given.")},
    )  # fmt: skip
    stop = forms.ModelChoiceField(
        Stop.objects.none(), label=_("Stop"), required=False, empty_label=_("all stops of the plan")
    )
    given_on = forms.DateField(label=_("Notice given on"))
    note = forms.CharField(
        label=_("To whom, and how"), max_length=PlanNotice._meta.get_field("note").max_length,
        help_text=_("Such as: the warden, by letter"),
        error_messages={"required": _("Say to whom the notice was given, and how.")},
    )  # fmt: skip

    def __init__(self, *args: Any, plan: FieldPlan, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["paper"].queryset = papers_for_notice(plan)  # type: ignore[attr-defined]
        self.fields["stop"].queryset = Stop.objects.filter(plan=plan)  # type: ignore[attr-defined]

    def clean_given_on(self) -> Any:
        day = self.cleaned_data["given_on"]
        if day > timezone.localdate():
            raise ValidationError(_t("This day lies ahead. Record a notice once it was given."))
        return day


class NoticeRemoveForm(Form):
    """Why a notice is taken off."""

    why = why_field(required=True)
