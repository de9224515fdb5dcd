"""What was seen of the label of a scientific exchange."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from accessions.people.access import Verb, may
from accessions.people.entry_forms import RecordForm
from governance.papers.models import Paper
from governance.usedesk.actions.exchange import EDITABLE
from governance.usedesk.models import ExchangeLabel

_LOOKED_AT = [("", _("Not looked at")), ("yes", _("Yes")), ("no", _("No"))]


class ExchangeForm(RecordForm):
    """The five conditions, one after the other. A scan may come with it from who may add scans."""

    file = forms.FileField(label=_("Scan of the label"), required=False, help_text=_("PDF or picture"))

    class Meta:
        model = ExchangeLabel
        fields = EDITABLE
        widgets = {name: forms.RadioSelect(choices=_LOOKED_AT)
                   for name in ("non_commercial", "label_by_authority", "legally_acquired")}  # fmt: skip

    def __init__(self, *args: Any, papers: Sequence[Paper], person: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["preserved"].choices = [  # type: ignore[attr-defined]
            ("", _("Not looked at")), *(choice for choice in ExchangeLabel.Preserved.choices if choice[0])
        ]  # fmt: skip
        self.fields["sender_code"].help_text = _("As it stands on the label, such as SE 007")
        self.fields["evidence"].help_text = _("Such as the permit under which it was collected, or the deed of gift")
        self.fields["paper"].label = _("Registered as the paper")
        self.fields["paper"].choices = [  # type: ignore[attr-defined]
            ("", _("Not registered as a paper")), *((paper.pk, paper.reference) for paper in papers)
        ]  # fmt: skip
        self.fields["why"].required = False
        if not may(person, Verb.ATTACH_SCANS):
            del self.fields["file"]

    @property
    def sent_file(self) -> tuple[Any, str] | None:
        """The scan that came, with its name."""
        file = self.cleaned_data.get("file")
        return (file, file.name or "") if file else None
