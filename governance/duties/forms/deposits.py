"""What people type of deposits, and what their list is narrowed to."""

from __future__ import annotations

from typing import Any, Final

from django import forms
from django.contrib.humanize.templatetags.humanize import intcomma
from django.core.exceptions import ValidationError
from django.utils.formats import date_format
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from accessions.material.models import Accession
from accessions.people.access import Verb, may
from accessions.people.entry_forms import RecordForm, offer
from governance.duties.forms.benefits import FilterForm, Group, PaperField, both_ways, open_promises, promise_choices
from governance.duties.models import BenefitPromise, Deposit
from governance.duties.queries.deposits import SORTS, uses_to_deposit
from governance.papers.forms.countries import CountryField
from governance.usedesk.models import MadeUse

_MOST_USES: Final = 200

SHOWS: Final = [("", _("All that stand")), ("receipt", _("Without a receipt")), ("voided", _("Voided"))]


class AccessionField(forms.CharField):
    """An accession by its number."""

    def clean(self, value: Any) -> Accession | None:
        """The accession; None where blank."""
        text = str(super().clean(value) or "").strip()
        found = Accession.objects.filter(number__iexact=text).first() if text else None
        if text and found is None:
            raise ValidationError(_t("“%(text)s” is the number of no accession.") % {"text": text[:100]})
        return found

    def prepare_value(self, value: Any) -> Any:
        """An accession as its box shows it: its number."""
        if isinstance(value, int):
            return Accession.objects.values_list("number", flat=True).filter(pk=value).first() or ""
        return value.number if isinstance(value, Accession) else value

    def has_changed(self, initial: Any, data: Any) -> bool:
        return bool(super().has_changed(self.prepare_value(initial), data))


class DepositForm(RecordForm):
    """A deposit. person: the one who types; use: an entry of uses that the page was opened for."""

    GROUPS = (
        (_("What was deposited"), "what", ("use", "specimens", "what", "accession")),
        (_("Where and when"), "where", ("country", "depository", "on")),
        (_("What asks for it"), "paper", ("promise", "paper")),
        (_("Receipt"), "receipt", ("receipt", "receipt_on", "letter", "note", "why")),
    )

    use = forms.ChoiceField(
        label=_("Entry of uses"), required=False,
        help_text=_("A return, gift or exchange by which the specimens left; blank: they were never entered here"),
    )  # fmt: skip
    promise = forms.ChoiceField(label=_("Promise that it answers"), required=False)
    paper = PaperField(help_text=_("Blank: the paper of the promise, or none"))
    accession = AccessionField(label=_("Accession"), required=False, max_length=100)
    country = CountryField(label=_("Country"), required=True)
    letter = forms.FileField(label=_("Scan of the receipt"), required=False, help_text=_("It is kept as it came"))
    seen = forms.IntegerField(required=False, widget=forms.HiddenInput)

    class Meta:
        model = Deposit
        fields = (
            "use", "specimens", "what", "accession", "country", "depository", "on", "promise", "paper", "receipt",
            "receipt_on", "note",
        )  # fmt: skip

    def __init__(self, *args: Any, person: Any, use: MadeUse | None = None, **more: Any) -> None:
        super().__init__(*args, **more)
        self._promises = open_promises(person, is_deposit=True, own=self.instance.promise_id)
        offer(self.fields["promise"], promise_choices(self._promises))
        rows = list(uses_to_deposit(own=self.instance.use_id)[:_MOST_USES])
        if use is not None and use.pk not in {one.pk for one in rows}:
            rows = [*uses_to_deposit(own=use.pk).filter(pk=use.pk), *rows]
        self._uses = {str(one.pk): one for one in rows}
        named = [(key, _named(one)) for key, one in self._uses.items()]
        offer(self.fields["use"], [("", _("None: they were never entered here")), *named])
        self.fields["specimens"].label = _("Or so many that were never entered here")
        self.fields["depository"].help_text = _("Such as the national collection, and its department")
        self.fields["receipt"].help_text = _("Blank: no receipt yet")
        self.fields["note"].widget.attrs["lines"] = 2
        if not may(person, Verb.ATTACH_SCANS):
            del self.fields["letter"]

    def clean_promise(self) -> BenefitPromise | None:
        return self._promises.get(self.cleaned_data["promise"])

    def clean_use(self) -> MadeUse | None:
        return self._uses.get(self.cleaned_data["use"])

    def _get_validation_exclusions(self) -> set[str]:
        """Whether the entry is a deposit already is for the action to say: a voided one is taken up again."""
        return {*super()._get_validation_exclusions(), "use"}  # type: ignore[misc]  # Django's own, without a type

    @property
    def groups(self) -> list[Group]:
        """The boxes under their heads."""
        return [(head, key, [self[name] for name in names if name in self.fields and not self[name].is_hidden])
                for head, key, names in self.GROUPS]  # fmt: skip


def _named(use: Any) -> str:
    n = use.item_count
    told = {"day": date_format(use.on, "j M Y"), "deed": use.get_deed_display(), "number": use}
    words = _t("%(day)s: %(deed)s %(number)s") % told
    count = ngettext("%(n)s specimen", "%(n)s specimens", n) % {"n": intcomma(n)}
    return ", ".join(filter(None, [words, count, use.recipient.name if use.recipient else ""]))


class DepositFilterForm(FilterForm):
    """Narrows the list of deposits."""

    show = forms.ChoiceField(label=_("Show"), required=False, choices=SHOWS)
    sort = forms.ChoiceField(required=False, widget=forms.HiddenInput, choices=both_ways(SORTS))
