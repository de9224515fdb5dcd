"""What people type when a duty is done, accepted, waived, given to somebody, or one of these is taken back."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.access import Verb, may, roles_that_may
from accessions.people.entry_forms import Form, offer, why_field
from accessions.people.models import User
from governance.duties.models import Duty
from governance.duties.queries.one_duty import NIL_KINDS


class _StepForm(Form):
    """A step that was taken on a day, with words, and a proof as a file."""

    on = forms.DateField(label=_("On"), error_messages={"required": _("Say on which day.")})
    how = forms.CharField(label=_("How"), widget=forms.Textarea(attrs={"lines": 3}))
    letter = forms.FileField(
        label=_("The proof as a file"), required=False, help_text=_("A scan, mail or document; it is kept as it came")
    )

    def __init__(self, *args: Any, person: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        if "letter" in self.fields and not may(person, Verb.ATTACH_SCANS):
            del self.fields["letter"]

    def clean_on(self) -> Any:
        on = self.cleaned_data["on"]
        if on > timezone.localdate():
            raise ValidationError(_t("%(day)s is still to come. Record it when it happened.") % {"day": on})
        return on


def _how_done() -> forms.CharField:
    return forms.CharField(
        label=_("How, and where the proof is"), widget=forms.Textarea(attrs={"lines": 3}),
        help_text=_("Such as: sent by e-mail to the office; the receipt lies in folder 12"),
        error_messages={"required": _("Say how it was done, and where the proof is.")},
    )  # fmt: skip


class DoneForm(_StepForm):
    """A duty was done. A report or a return may say that nothing was taken."""

    how = _how_done()
    is_nil = forms.BooleanField(
        label=_("Nil return: it says that nothing was taken"), required=False,
        help_text=_("Tick it only where nothing was taken in the time that it is about"),
    )  # fmt: skip

    field_order = ("on", "how", "is_nil", "letter")

    def __init__(self, *args: Any, duty: Duty, **more: Any) -> None:
        super().__init__(*args, **more)
        if duty.kind not in NIL_KINDS:
            del self.fields["is_nil"]


class SeveralDoneForm(_StepForm):
    """Several duties were done by one deed, with one proof."""

    how = _how_done()


class AcceptForm(_StepForm):
    """Whoever it is owed to accepted it."""

    how = forms.CharField(
        label=_("By whom, and how"), widget=forms.Textarea(attrs={"lines": 3}),
        help_text=_("Such as: letter of the office that thanks for the report"),
        error_messages={"required": _("Say by whom it was accepted, and how.")},
    )  # fmt: skip


class WaiveForm(_StepForm):
    """It need not be done."""

    how = forms.CharField(
        label=_("Because"), widget=forms.Textarea(attrs={"lines": 3}),
        help_text=_("Who said so, and where that is written"),
        error_messages={"required": _("Say why it need not be done, and who said so.")},
    )  # fmt: skip
    letter = None  # type: ignore[assignment]  # a waiver has no scan of its own


class UndoForm(Form):
    """Why a step is taken back."""

    why = why_field(required=True)


class AssignForm(Form):
    """Who sees to it from now on: somebody who may keep duties, or nobody."""

    to = forms.ChoiceField(label=_("Who sees to it"), required=False)

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        roles = roles_that_may(Verb.KEEP_DUTIES)
        self.people = {str(one.pk): one for one in User.objects.filter(is_active=True, role__in=roles)}
        named = sorted(((pk, one.shown_name) for pk, one in self.people.items()), key=lambda one: one[1])
        offer(self.fields["to"], [("", _("Nobody")), *named])

    @property
    def person(self) -> User | None:
        return self.people.get(self.cleaned_data["to"])


class NoteForm(Form):
    """The note of a duty."""

    note = forms.CharField(label=_("Note"), required=False, widget=forms.Textarea(attrs={"lines": 4}))
