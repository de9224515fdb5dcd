"""What people type of a request, how it ends, and what its list is narrowed to."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.access import Verb, may
from accessions.people.entry_forms import Form, offer, why_field
from governance.engine.uses import Use
from governance.papers.countries import country_name
from governance.papers.forms.countries import CountryField
from governance.papers.models import USE_NAMES
from governance.usedesk.forms.recipients import KINDS, REGISTER_HINT, not_to_come
from governance.usedesk.models import Recipient, Told, UseRequest
from governance.usedesk.queries.listing import SORTS, STATE_WORDS, Wanted, countries_asked, recipients_asking

USE_GROUPS: Final = (
    (_("Lent and shown"),
     (Use.STUDY_ON_THE_SPOT, Use.LOAN_AT_HOME, Use.LOAN_ABROAD, Use.ONWARD_LOAN, Use.EXHIBITION, Use.TEACHING)),
    (_("For good"), (Use.RETENTION, Use.GIFT_OR_EXCHANGE, Use.RETURN_TO_PROVIDER, Use.DISPOSAL)),
    (_("Sampled and sequenced"),
     (Use.DESTRUCTIVE_SAMPLING, Use.DNA_FOR_IDENTIFICATION, Use.SEQUENCING, Use.PUBLISHING_SEQUENCES)),
    (_("Images, data and money"), (Use.IMAGING, Use.PUBLISHING_IMAGES, Use.PUBLISHING_LOCALITIES, Use.COMMERCIAL_USE)),
)  # fmt: skip
"""Kinds of use as the form lists them."""

NEW = "new"

_RECIPIENT = ("name", "kind", "country", "cites_code", "cites_checked_on", "address")
_NO_COLUMNS = ("why", "letter", "recipient", *(f"recipient_{name}" for name in _RECIPIENT))


class UsesField(forms.TypedMultipleChoiceField):
    """Kinds of use as boxes to tick; the value is their bits."""

    def __init__(self, **more: Any) -> None:
        choices = [(str(int(use)), name) for use, name in USE_NAMES.items()]
        super().__init__(coerce=int, choices=choices, widget=forms.CheckboxSelectMultiple, **more)

    def clean(self, value: Any) -> int:
        return sum(1 << use for use in set(super().clean(value)))

    def prepare_value(self, value: Any) -> Any:
        return [str(int(use)) for use in Use if value >> use & 1] if isinstance(value, int) else value


def grouped_uses(field: Any) -> Iterator[tuple[Any, list[Any]]]:
    """The boxes of uses by group; groups of which nothing is offered are left out."""
    boxes = {int(box.data["value"]): box for box in field}
    for heading, uses in USE_GROUPS:
        if found := [boxes[use] for use in uses if use in boxes]:
            yield heading, found


class RequestForm(Form):
    """A request; its recipient is chosen, or begun in the same form. person: who types, who may not add scans."""

    reference = forms.CharField(
        label=_("Request number"), max_length=60, help_text=_("A number of your own; the next one is offered")
    )
    title = forms.CharField(
        label=_("What is asked"), max_length=200, help_text=_("In a few words, such as: Caddisflies of Iceland, loan")
    )
    asked_by = forms.CharField(label=_("Asked by"), max_length=200, required=False, help_text=_("The person who wrote"))
    asked_on = forms.DateField(label=_("Asked on"), help_text=_("The terms in force on this day decide"))
    answer_by = forms.DateField(label=_("Answer by"), required=False)
    recipient = forms.ChoiceField(label=_("For"), required=False)
    recipient_name = forms.CharField(label=_("Name of the new recipient"), max_length=300, required=False)
    recipient_kind = forms.TypedChoiceField(
        label=_("Kind"), choices=KINDS, required=False, coerce=int, empty_value=None
    )
    recipient_country = CountryField(label=_("Country of the recipient"))
    recipient_cites_code = forms.CharField(
        label=_("Number in the CITES register"), max_length=20, required=False, help_text=REGISTER_HINT
    )
    recipient_cites_checked_on = forms.DateField(
        label=_("Register looked up on"), required=False, validators=[not_to_come]
    )
    recipient_address = forms.CharField(label=_("Address"), required=False, widget=forms.Textarea(attrs={"lines": 2}))
    uses = UsesField(label=_("Uses that are asked for"), error_messages={"required": _("Choose at least one use.")})
    country = CountryField(
        label=_("Goes to"), help_text=_("The country where the material or the result goes; blank: not told")
    )
    starts_on = forms.DateField(label=_("From"), required=False)
    ends_on = forms.DateField(label=_("Until"), required=False, help_text=_("Of the loan or the work"))
    commercial = forms.ChoiceField(
        label=_("Commercial"), required=False, choices=Told.choices, widget=forms.RadioSelect, initial=""
    )
    identification_only = forms.ChoiceField(
        label=_("For identification only"), required=False, choices=Told.choices, widget=forms.RadioSelect, initial=""
    )
    parts = forms.CharField(
        label=_("Parts to be taken"), max_length=200, required=False, help_text=_("With commas between: leg, wing")
    )
    purpose = forms.CharField(label=_("Purpose"), required=False, widget=forms.Textarea)
    remarks = forms.CharField(label=_("Remarks"), required=False, widget=forms.Textarea(attrs={"lines": 2}))
    letter = forms.FileField(
        label=_("The letter"), required=False, help_text=_("A scan, mail or document; it is kept as it came")
    )
    why = why_field(required=False)

    def __init__(self, *args: Any, person: Any, request: UseRequest | None = None, **more: Any) -> None:
        super().__init__(*args, **more)
        self.request = request
        self._recipients = {str(one.pk): one for one in Recipient.objects.only("pk", "name", "country")}
        known = [(pk, ", ".join(filter(None, [one.name, one.country]))) for pk, one in self._recipients.items()]
        offer(self.fields["recipient"], [("", _("Not told")), (NEW, _("A new recipient, named below")), *known])
        if not may(person, Verb.ATTACH_SCANS):
            del self.fields["letter"]
        if request is None:
            self.fields["why"].widget = forms.HiddenInput()
        else:
            self.fields["why"].required = True

    @property
    def use_groups(self) -> list[tuple[Any, list[Any]]]:
        return list(grouped_uses(self["uses"]))

    @property
    def face(self) -> list[Any]:
        """Who asks, and when."""
        return [self[name] for name in ("reference", "title", "asked_by", "asked_on", "answer_by")]

    @property
    def new_recipient_fields(self) -> list[Any]:
        return [self[f"recipient_{name}"] for name in _RECIPIENT]

    @property
    def terms(self) -> list[Any]:
        """Where, how long, and the facts that clauses ask about."""
        names = ("country", "starts_on", "ends_on", "commercial", "identification_only", "parts")
        return [self[name] for name in names]

    @property
    def rest(self) -> list[Any]:
        return [self[name] for name in ("purpose", "remarks", "letter", "why") if name in self.fields]

    @property
    def wants_new(self) -> bool:
        """Whether a recipient is begun here: chosen so, or named."""
        return str(self["recipient"].value() or "") == NEW or bool(str(self["recipient_name"].value() or "").strip())

    def clean_reference(self) -> str:
        text = " ".join(str(self.cleaned_data["reference"]).split())
        others = UseRequest.objects.filter(reference__iexact=text)
        if self.request is not None:
            others = others.exclude(pk=self.request.pk)
        if other := others.first():
            words = _t("“%(number)s” is the number of “%(title)s”. Give this request a number of its own.")
            raise ValidationError(words % {"number": other.reference, "title": other.title})
        return text

    def clean(self) -> dict[str, Any]:
        told = super().clean() or {}
        chosen, named = told.get("recipient"), str(told.get("recipient_name") or "").strip()
        if chosen == NEW and not named and "recipient_name" not in self.errors:
            self.add_error("recipient_name", _t("Name the new recipient, or choose one above."))
        if named and chosen and chosen != NEW:
            words = _t("A recipient is chosen, and another is named below. Leave one of the two.")
            self.add_error("recipient", words)
        first, last = told.get("starts_on"), told.get("ends_on")
        if first and last and last < first:
            self.add_error("ends_on", _t("%(last)s is before %(first)s.") % {"last": last, "first": first})
        due, asked = told.get("answer_by"), told.get("asked_on")
        if due and asked and due < asked:
            self.add_error("answer_by", _t("%(due)s is before the day on which it was asked.") % {"due": due})
        return told

    def values(self) -> dict[str, Any]:
        """The fields of the request."""
        told = {name: value for name, value in self.cleaned_data.items() if name not in _NO_COLUMNS}
        return told | {"recipient": self._recipients.get(self.cleaned_data["recipient"])}

    def new_recipient(self) -> dict[str, Any] | None:
        """What was typed of a recipient that is begun here; None: none is."""
        if not str(self.cleaned_data["recipient_name"]).strip():
            return None
        return {name: self.cleaned_data[f"recipient_{name}"] for name in _RECIPIENT}


def request_initial(request: UseRequest) -> dict[str, Any]:
    """A request as the form shows it."""
    names = (
        "reference", "title", "asked_by", "asked_on", "answer_by", "uses", "country", "starts_on", "ends_on",
        "commercial", "identification_only", "parts", "purpose", "remarks",
    )  # fmt: skip
    return {name: getattr(request, name) for name in names} | {"recipient": request.recipient_id or ""}


class ReasonForm(Form):
    """Why a request is closed, taken up again, or its answer taken back."""

    why = why_field(required=True)


class RequestFilterForm(Form):
    """Narrows the list of requests."""

    q = forms.CharField(label=_("Words"), required=False, max_length=200)
    q.widget.attrs["placeholder"] = _("Number, title, person, recipient")
    state = forms.ChoiceField(
        label=_("State"), required=False,
        choices=[("", _("All")), ("open", _("All that want an answer")), *STATE_WORDS.items()],
    )  # fmt: skip
    use = forms.ChoiceField(
        label=_("Use"), required=False, choices=[("", _("Any")), *((str(int(u)), n) for u, n in USE_NAMES.items())]
    )
    recipient = forms.ChoiceField(label=_("For"), required=False)
    country = forms.ChoiceField(label=_("Goes to"), required=False)
    late = forms.BooleanField(label=_("Only those whose day has passed"), required=False)
    sort = forms.ChoiceField(
        required=False, widget=forms.HiddenInput, choices=[(key, key) for name in SORTS for key in (name, f"-{name}")]
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        offer(self.fields["recipient"], [("", _("Anybody")), *((str(pk), name) for pk, name in recipients_asking())])
        offer(self.fields["country"], [("", _("Any")), *((code, country_name(code)) for code in countries_asked())])

    def wanted(self) -> Wanted:
        """The filter that was asked for; a value that makes no sense narrows nothing."""
        self.is_valid()
        return Wanted(**{name: value for name, value in self.cleaned_data.items() if value})
