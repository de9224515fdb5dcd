"""What was seen of the label of a scientific exchange."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.access import Verb, may
from accessions.people.entry_forms import RecordForm, offer
from governance.papers.models import Paper
from governance.usedesk.actions.exchange import EDITABLE
from governance.usedesk.models import ExchangeLabel

_ANSWERED = ("non_commercial", "label_by_authority", "legally_acquired")
_LOOKED_AT = [("", _("Not looked at")), ("yes", _("Yes")), ("no", _("No"))]


class ExchangeForm(RecordForm):
    """The five conditions, one after the other. A scan may come with it from who may add scans."""

    file = forms.FileField(label=_("Scan of the label"), required=False, help_text=_("PDF or picture"))

    class Meta:
        model = ExchangeLabel
        fields = EDITABLE
        widgets = dict.fromkeys(_ANSWERED, forms.RadioSelect)

    def __init__(
        self, *args: Any, papers: Sequence[Paper], person: Any, on_file: tuple[str, str] = ("", ""), **more: Any
    ) -> None:
        super().__init__(*args, **more)
        for name in _ANSWERED:
            offer(self.fields[name], _LOOKED_AT)
        kinds = [choice for choice in ExchangeLabel.Preserved.choices if choice[0]]
        offer(self.fields["preserved"], [("", _("Not looked at")), *kinds])
        for name, number in zip(("sender_code", "recipient_code"), on_file, strict=True):
            known = _t("On file: %(number)s.") % {"number": number} if number else _t("No number is on file.")
            self.fields[name].help_text = f"{_t('As it stands on the label.')} {known}"
        self.fields["evidence"].help_text = _("Such as the permit under which it was collected, or the deed of gift")
        self.fields["paper"].label = _("Registered as the paper")
        registered = [(str(paper.pk), paper.reference) for paper in papers]
        offer(self.fields["paper"], [("", _("Not registered as a paper")), *registered])
        self.fields["why"].required = False
        if not may(person, Verb.ATTACH_SCANS):
            del self.fields["file"]

    @property
    def sent_file(self) -> tuple[Any, str] | None:
        """The scan that came, with its name."""
        file = self.cleaned_data.get("file")
        return (file, file.name or "") if file else None
