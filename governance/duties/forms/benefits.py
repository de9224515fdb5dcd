"""What people type of benefits: what a paper promises, what was given, and what a list of them is narrowed to."""

from __future__ import annotations

import re
from typing import Any, Final

from django import forms
from django.core.exceptions import ValidationError
from django.forms import BoundField
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.access import Verb, may
from accessions.people.entry_forms import Form, RecordForm, offer, why_field
from governance.duties.models import BenefitGiven, BenefitPromise
from governance.duties.queries.annex import code_choices
from governance.duties.queries.benefits import STANDINGS
from governance.duties.queries.ledger import GIVEN_SHOWS, GIVEN_SORTS, SORTS, Wanted, countries_of_benefits, hidden_line
from governance.jurisdictions.currencies import currency_meant
from governance.papers.countries import country_name
from governance.papers.forms.countries import CountryField
from governance.papers.models import Paper

Group = tuple[Any, str, list[BoundField]]

_GROUPED: Final = re.compile(r"\d{1,3}(?:[ ,\u00a0\u202f’']\d{3})+(?:\.\d+)?")
_PARTING: Final = re.compile(r"[ ,\u00a0\u202f’']")


class PaperField(forms.CharField):
    """A paper by its reference; the page offers those on file in a list ``papers-known``."""

    def __init__(self, **more: Any) -> None:
        super().__init__(**dict[str, Any]({"label": _("Paper"), "required": False, "max_length": 100}) | more)
        self.widget.attrs.update({"list": "papers-known", "autocomplete": "off"})

    def clean(self, value: Any) -> Paper | None:
        """The paper; None where blank."""
        text = " ".join(str(super().clean(value) or "").split())
        if not text:
            return None
        paper = Paper.objects.filter(reference__iexact=text).first()
        if paper is None:
            raise ValidationError(_t("“%(text)s” is the number of no paper on file.") % {"text": text[:100]})
        return paper

    def prepare_value(self, value: Any) -> Any:
        """A paper as its box shows it: its reference."""
        if isinstance(value, int):
            return Paper.objects.values_list("reference", flat=True).filter(pk=value).first() or ""
        return value.reference if isinstance(value, Paper) else value

    def has_changed(self, initial: Any, data: Any) -> bool:
        return bool(super().has_changed(self.prepare_value(initial), data))


class CurrencyField(forms.CharField):
    """A currency of ISO 4217 by code or name; the page offers them in a list ``currencies-known``."""

    def __init__(self, **more: Any) -> None:
        super().__init__(**dict[str, Any]({"label": _("Currency"), "required": False, "max_length": 100}) | more)
        self.widget.attrs.update({"list": "currencies-known", "autocomplete": "off"})

    def clean(self, value: Any) -> str:
        """The code, "" where blank."""
        text = str(super().clean(value) or "").strip()
        code = currency_meant(text) if text else ""
        if text and not code:
            words = _t("“%(text)s” is no currency of ISO 4217. Write its three letters, such as EUR, or its name.")
            raise ValidationError(words % {"text": text[:60]})
        return code


class NumberField(forms.DecimalField):
    """A number as people group it: 1200, 1,200.50 and 1 200.50. A comma never parts decimals, since 1,200 would then
    be read two ways."""

    widget = forms.TextInput

    def __init__(self, **more: Any) -> None:
        super().__init__(**dict[str, Any]({"required": False, "decimal_places": 2}) | more)
        self.widget.attrs["inputmode"] = "decimal"

    def to_python(self, value: Any) -> Any:
        text = str(value).strip() if value not in self.empty_values else ""
        if _GROUPED.fullmatch(text):
            text = _PARTING.sub("", text)
        elif "," in text:
            words = _t("“%(text)s”: a comma groups thousands, as in 1,200. Decimals have a point: write %(point)s.")
            raise ValidationError(words % {"text": text[:40], "point": _pointed(text)})
        return super().to_python(text)


def _pointed(text: str) -> str:
    """A number with a comma as it is to be written: 1,5 as 1.5; an example where it is no such number.

    >>> _pointed("1,5"), _pointed("1,2,3")
    ('1.5', '1200.50')
    """
    return text.replace(",", ".") if re.fullmatch(r"\d{1,12},\d{1,2}", text) else "1200.50"


def _check_code(field: forms.Field) -> None:
    offer(field, [("", _("Choose a kind")), *code_choices()])


class _BenefitForm(RecordForm):
    """What promises and gifts have alike. seen: the newest entry of the history that the person has before them."""

    GROUPS: tuple[tuple[Any, str, tuple[str, ...]], ...] = ()

    code = forms.ChoiceField(label=_("Kind of benefit"), help_text=_("Nagoya Protocol, Annex: M is the monetary list"))
    paper = PaperField()
    country = CountryField(label=_("To the country"), help_text=_("Blank: the country of the paper"))
    amount = NumberField(label=_("Amount"), max_digits=14, help_text=_("Such as 1,200 or 1,200.50"))
    currency = CurrencyField()
    quantity = NumberField(label=_("Or a quantity"), max_digits=12)
    seen = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        _check_code(self.fields["code"])
        for name in ("note", "what"):
            self.fields[name].widget.attrs["lines"] = 2

    @property
    def groups(self) -> list[Group]:
        """The boxes under their heads."""
        shown = {name for name in self.fields if not self[name].is_hidden}
        found = [(head, key, [self[name] for name in names if name in shown]) for head, key, names in self.GROUPS]
        return [group for group in found if group[2]]


class PromiseForm(_BenefitForm):
    """What a paper promises."""

    GROUPS = (
        (_("What is promised"), "what", ("paper", "code", "what", "beneficiary", "country", "due_on")),
        (_("How much"), "much", ("amount", "currency", "quantity", "unit", "is_deposit", "share_percent")),
        (_("Where it stands"), "clause", ("clause", "clause_number", "page", "note", "why")),
    )

    class Meta:
        model = BenefitPromise
        fields = (
            "paper", "code", "what", "beneficiary", "country", "due_on", "amount", "currency", "quantity", "unit",
            "is_deposit", "share_percent", "clause", "clause_number", "page", "note",
        )  # fmt: skip

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["paper"].help_text = _("The paper that asks for it; blank: an agreement that is not on file")
        self.fields["due_on"].help_text = _("Blank: no day is fixed")
        self.fields["is_deposit"].label = _("It is a deposit of material in the country")
        self.fields["share_percent"].help_text = _("Of a deposit alone: such as 50 for half of the duplicates")


class GivenForm(_BenefitForm):
    """What was given. person: the one who types."""

    GROUPS = (
        (_("What was given"), "what",
         ("promise", "paper", "code", "what", "beneficiary", "country", "on", "until_on")),
        (_("How much"), "much", ("amount", "currency", "quantity", "unit")),
        (_("Proof"), "proof", ("evidence", "letter", "note", "why")),
    )  # fmt: skip

    promise = forms.ChoiceField(label=_("Promise that it answers"), required=False)
    letter = forms.FileField(
        label=_("Scan of the proof"), required=False, help_text=_("A receipt, a letter, a list; it is kept as it came")
    )

    class Meta:
        model = BenefitGiven
        fields = (
            "promise", "paper", "code", "what", "beneficiary", "country", "on", "until_on", "amount", "currency",
            "quantity", "unit", "evidence", "note",
        )  # fmt: skip

    def __init__(self, *args: Any, person: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self._promises = open_promises(person, is_deposit=False, own=self.instance.promise_id)
        offer(self.fields["promise"], promise_choices(self._promises))
        self.fields["paper"].help_text = _("Blank: the paper of the promise, or none")
        self.fields["evidence"].label = _("Proof")
        self.fields["evidence"].error_messages["required"] = _("Say where the proof is: a receipt, a letter, a list.")
        self.fields["evidence"].widget.attrs["lines"] = 2
        if not may(person, Verb.ATTACH_SCANS):
            del self.fields["letter"]

    def clean_promise(self) -> BenefitPromise | None:
        return self._promises.get(self.cleaned_data["promise"])


def open_promises(person: Any, *, is_deposit: bool, own: int | None = None) -> dict[str, BenefitPromise]:
    """Promises that something may be entered for, by key: not closed, of papers that the person may read; own: also
    the one that is named already."""
    rows = BenefitPromise.objects.select_related("paper").filter(is_deposit=is_deposit)
    found = [one for one in rows if (one.closed_at is None or one.pk == own) and not hidden_line(one, person)]
    return {str(one.pk): one for one in found}


def promise_choices(found: dict[str, BenefitPromise]) -> list[tuple[str, Any]]:
    """The promises of ``open_promises`` for a form."""
    named = [(key, f"{one.paper.reference if one.paper else '–'}: {one.code} {one.what[:90]}")
             for key, one in found.items()]  # fmt: skip
    return [("", _("None: it was given without a promise")), *sorted(named, key=lambda pair: pair[1])]


class CloseForm(Form):
    """Why nothing more is to be given."""

    why = why_field(required=True)


class VoidForm(Form):
    """Why an entry is voided."""

    why = why_field(required=True)


def _any_country() -> list[tuple[str, Any]]:
    return [("", _("Any")), *((code, country_name(code)) for code in countries_of_benefits())]


def both_ways(names: Any) -> list[tuple[str, str]]:
    return [(key, key) for name in names for key in (name, f"-{name}")]


class FilterForm(Form):
    """What every list of benefits can be narrowed to."""

    q = forms.CharField(label=_("Words"), required=False, max_length=200)
    country = forms.ChoiceField(label=_("Country"), required=False)
    paper = PaperField()

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        offer(self.fields["country"], _any_country())
        if "code" in self.fields:
            offer(self.fields["code"], [("", _("All")), *code_choices()])

    def wanted(self) -> Wanted:
        """The filter that was asked for; a value that makes no sense narrows nothing."""
        self.is_valid()
        return Wanted(**{name: value for name, value in self.cleaned_data.items() if value})


class LedgerForm(FilterForm):
    """Narrows the ledger."""

    state = forms.ChoiceField(label=_("State"), required=False, choices=[("", _("All")), *STANDINGS.items()])
    code = forms.ChoiceField(label=_("Kind of benefit"), required=False)
    sort = forms.ChoiceField(required=False, widget=forms.HiddenInput, choices=both_ways(SORTS))


class GivenFilterForm(FilterForm):
    """Narrows the list of what was given."""

    show = forms.ChoiceField(label=_("Show"), required=False, choices=list(GIVEN_SHOWS.items()))
    code = forms.ChoiceField(label=_("Kind of benefit"), required=False)
    sort = forms.ChoiceField(required=False, widget=forms.HiddenInput, choices=both_ways(GIVEN_SORTS))
