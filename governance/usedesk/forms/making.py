"""What people type of a use that was made: what, when, by or to whom, and which specimens."""

from __future__ import annotations

from typing import Any, Final

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.access import Verb, may
from accessions.people.entry_forms import Form, offer, why_field
from governance.engine.uses import Use
from governance.papers.models import USE_NAMES
from governance.usedesk.actions.making import Taken, loan_months
from governance.usedesk.deeds import (
    CHOSEN_BY_A_PERSON,
    CITED,
    FOR_GOOD,
    FROM_A_LOAN,
    LASTS,
    LOANS,
    NAMES_A_RECIPIENT,
    NEEDS_A_LOAN,
    TAKES_MATERIAL,
    USES_OF,
    Deed,
)
from governance.usedesk.forms.specimen_lines import Lines, lines_of
from governance.usedesk.identifiers import FORM_ONLY, IdentifierError, doi_of
from governance.usedesk.models import MadeUse, Recipient, UseRequest
from governance.usedesk.queries.chosen import all_of, approved_of, lent_on, of_accession, out_on

FACE: Final = (
    "reference", "title", "on", "until_on", "citation", "doi", "acknowledged", "commercial", "identification_only",
    "parts", "note",
)  # fmt: skip
"""Columns of an entry that are typed as they are kept."""

NO_TERM: Final = _("Words and lists of specimens; no clause speaks of that")

TAKEN_COLUMNS: Final = _(
    "Number, then with tabs or semicolons between: what was taken, what is left (“nothing” if it is used up)"
)
EXTRACT_COLUMNS: Final = _(
    "Number, then with tabs or semicolons between: what was taken, what is left (“nothing” if it is used up), number "
    "of the extract"
)

CONSEQUENCES: Final = {
    Deed.RETENTION: _("A specimen that the borrower keeps changes hands for good: it is no longer due back, stands in "
                      "the register as kept by the recipient, counts as gone, and cannot be lent again."),
    Deed.GIFT: _("What is given away is gone for good: it stands in the register as with the recipient, and cannot be "
                 "lent."),
    Deed.EXCHANGE: _("What is exchanged is gone for good: it stands in the register as with the recipient, and cannot "
                     "be lent."),
    Deed.DISPOSAL: _("What is disposed of is gone for good: its record stays, and it cannot be lent or sampled."),
    Deed.RETURN: _("What is returned to the provider is gone for good: its record stays, and it cannot be lent or "
                   "sampled."),
}  # fmt: skip
"""What a deed after which material is gone leads to, said before it is saved."""

_OF_LOAN: Final = [("out", _("All that are still out on it")), ("none", _("Only those listed below"))]
_OF_REQUEST: Final = [
    ("approved", _("Those that may go by a decision")), ("all", _("All of its specimens")),
    ("none", _("Only those listed below")),
]  # fmt: skip


_TOLD: Final = [("", _("As the request says, or not told")), ("yes", _("Yes")), ("no", _("No"))]


class _Face(Form):
    """What a use is, whoever records or corrects it."""

    reference = forms.CharField(
        label=_("Number"), required=False, max_length=60, help_text=_("Such as the loan number; blank: none")
    )
    title = forms.CharField(label=_("In words"), required=False, max_length=300)
    recipient = forms.ChoiceField(label=_("By or to"), required=False)
    on = forms.DateField(label=_("On"), help_text=_("The terms in force on this day decide"))
    until_on = forms.DateField(label=_("Until"), required=False)
    use = forms.ChoiceField(label=_("Kind of use"), required=False, widget=forms.RadioSelect)
    citation = forms.CharField(label=_("Citation"), required=False, widget=forms.Textarea(attrs={"lines": 3}))
    doi = forms.CharField(label="DOI", required=False, max_length=400, help_text=FORM_ONLY)
    acknowledged = forms.ChoiceField(
        label=_("Source acknowledged as the papers ask"), required=False, widget=forms.RadioSelect,
        choices=[("", _("Not looked at")), ("yes", _("Yes")), ("no", _("No"))],
    )  # fmt: skip
    commercial = forms.ChoiceField(
        label=_("Commercial"), required=False, choices=_TOLD, widget=forms.RadioSelect, initial=""
    )
    identification_only = forms.ChoiceField(
        label=_("For identification only"), required=False, choices=_TOLD, widget=forms.RadioSelect, initial=""
    )
    parts = forms.CharField(
        label=_("Parts that were taken"), max_length=200, required=False, help_text=_("With commas between: leg, wing")
    )
    note = forms.CharField(label=_("Note"), required=False, widget=forms.Textarea(attrs={"lines": 2}))
    letter = forms.FileField(
        label=_("Scan"), required=False, help_text=_("The signed sheet, a letter, the paper; it is kept as it came")
    )

    def __init__(self, *args: Any, deed: str, person: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.deed = deed
        self._recipients = {str(one.pk): one for one in Recipient.objects.all()}
        known = [
            (pk, f"{one.name}, {one.country}" if one.country else one.name) for pk, one in self._recipients.items()
        ]
        offer(self.fields["recipient"], [("", _("Not told")), *known])
        self.fields["recipient"].required = deed in NAMES_A_RECIPIENT
        self._narrow(person)

    def _narrow(self, person: Any) -> None:
        """Only what is asked of this deed."""
        drop = [] if may(person, Verb.ATTACH_SCANS) else ["letter"]
        drop += [] if self.deed in LASTS else ["until_on"]
        drop += [] if self.deed in CITED else ["citation", "doi", "acknowledged"]
        drop += [] if self.deed in CHOSEN_BY_A_PERSON else ["use"]
        drop += [] if self.deed in TAKES_MATERIAL else ["parts"]
        drop += ["commercial"] if self.deed == Deed.COMMERCIAL else []
        drop += ["commercial", "identification_only"] if USES_OF[self.deed] == (None,) else []
        for name in drop:
            del self.fields[name]
        if "use" in self.fields:
            uses = USES_OF[self.deed]
            offer(self.fields["use"], [(_key(use), NO_TERM if use is None else USE_NAMES[use]) for use in uses])
            self.fields["use"].initial = _key(uses[0])
        labels: dict[str, Any] = {Deed.LOAN: _("It left on"), Deed.LOSS: _("Found missing on")}
        self.fields["on"].label = labels.get(self.deed, _("On"))

    def clean_on(self) -> Any:
        on = self.cleaned_data["on"]
        if on > timezone.localdate():
            raise ValidationError(_t("The day lies ahead. Record a use when it was made."))
        return on

    def clean_doi(self) -> str:
        text = str(self.cleaned_data["doi"]).strip()
        try:
            return doi_of(text) if text else ""
        except IdentifierError as error:
            raise ValidationError(str(error)) from error

    def clean(self) -> dict[str, Any]:
        told = super().clean() or {}
        if (
            self.deed == Deed.PUBLICATION
            and not told.get("citation")
            and not told.get("doi")
            and "doi" not in self.errors
        ):
            self.add_error("citation", _t("Give the citation or the DOI."))
        first, last = told.get("on"), told.get("until_on")
        if first and last and last < first:
            self.add_error("until_on", _t("%(last)s is before %(first)s.") % {"last": last, "first": first})
        return told

    @property
    def chosen_use(self) -> Use | None:
        text = self.cleaned_data.get("use", "")
        return Use(int(text)) if text.isdigit() else None

    def face_values(self) -> dict[str, Any]:
        """The columns of the entry."""
        told = {name: self.cleaned_data[name] for name in FACE if name in self.fields}
        return told | {"recipient": self._recipients.get(self.cleaned_data["recipient"])}


def _key(use: Use | None) -> str:
    return "" if use is None else str(int(use))


class UseForm(_Face):
    """A use that is recorded. request, loan: those that the address names."""

    due_on = forms.DateField(label=_("Due back on"), required=False)
    request_number = forms.CharField(
        label=_("By request"), required=False, max_length=60, help_text=_("Its number; blank: by none")
    )
    of_request = forms.ChoiceField(
        label=_("Of this request"), required=False, widget=forms.RadioSelect, choices=_OF_REQUEST, initial="approved"
    )
    loan_number = forms.CharField(
        label=_("From loan"),
        required=False,
        max_length=60,
        help_text=_("Its number, or # and its key; blank: from none"),
    )
    of_loan = forms.ChoiceField(
        label=_("Of this loan"), required=False, widget=forms.RadioSelect, choices=_OF_LOAN, initial="out"
    )
    accession = forms.CharField(
        label=_("A whole accession"), required=False, max_length=100, help_text=_("Its number; all its specimens")
    )
    numbers = forms.CharField(
        label=_("Catalogue numbers"), required=False, widget=forms.Textarea(attrs={"lines": 6}),
        help_text=_("One a line, or with commas between; scan them one after another into this box"),
    )  # fmt: skip
    amount = forms.CharField(label=_("Taken of each"), required=False, max_length=200, help_text=_("Such as one leg"))
    left = forms.CharField(
        label=_("Left of each"),
        required=False,
        max_length=200,
        help_text=_("Such as five legs; leave it blank if that is not known"),
    )
    is_used_up = forms.BooleanField(label=_("Nothing is left of any of them"), required=False)
    is_damaged = forms.BooleanField(
        label=_("Damaged only: they are still here"), required=False,
        help_text=_("Not ticked: they are lost, count as gone and are no longer due back"),
    )  # fmt: skip
    understood = forms.BooleanField(label=_("This is what happened"), required=True)

    def __init__(self, *args: Any, deed: str, person: Any, request: UseRequest | None = None,
                 loan: MadeUse | None = None, **more: Any) -> None:  # fmt: skip
        super().__init__(*args, deed=deed, person=person, **more)
        self.request, self.loan = request, loan
        self.lines = Lines()
        self._narrow_specimens()
        self.order_fields([name for name in self.fields if name != "understood"] + ["understood"])

    def _narrow_specimens(self) -> None:
        deed, fields = self.deed, self.fields
        drop = [] if deed in LOANS else ["due_on"]
        drop += [] if deed in TAKES_MATERIAL else ["amount", "left", "is_used_up"]
        drop += [] if deed == Deed.LOSS else ["is_damaged"]
        drop += [] if deed in FOR_GOOD else ["understood"]
        drop += ["loan_number", "of_loan"] if deed == Deed.LOAN else []
        drop += ["request_number", "of_request", "accession"] if deed in NEEDS_A_LOAN else []
        for name in drop:
            del fields[name]
        if "due_on" in fields:
            fields["due_on"].help_text = _("Blank: %(n)d months after it left") % {"n": loan_months()}
        if "loan_number" in fields:
            fields["loan_number"].required = deed in NEEDS_A_LOAN
            if deed not in FROM_A_LOAN:
                fields["loan_number"].label = _("Specimens of loan")
                offer(fields["of_loan"], [("out", _("All that were lent")), _OF_LOAN[1]])
        if deed in TAKES_MATERIAL:
            fields["numbers"].label = _("Specimens, one a line")
            fields["numbers"].help_text = TAKEN_COLUMNS if deed == Deed.SAMPLING else EXTRACT_COLUMNS

    def clean_request_number(self) -> UseRequest | None:
        text = str(self.cleaned_data["request_number"]).strip()
        found = UseRequest.objects.select_related("recipient").filter(reference__iexact=text).first() if text else None
        if text and found is None:
            raise ValidationError(_t("No request has the number “%(number)s”.") % {"number": text})
        return found

    def clean_loan_number(self) -> MadeUse | None:
        text = str(self.cleaned_data["loan_number"]).strip()
        return _loan(text) if text else None

    def clean(self) -> dict[str, Any]:
        told = super().clean()
        on, due = told.get("on"), told.get("due_on")
        if on and due and due < on:
            self.add_error("due_on", _t("%(due)s is before it left.") % {"due": due})
        self.lines = lines_of(str(told.get("numbers") or ""), self.deed, self._common())
        for problem in self.lines.problems:
            self.add_error("numbers", problem)
        self._gather(told)
        return told

    def _common(self) -> Taken:
        told = self.cleaned_data
        if self.deed == Deed.LOSS:
            return Taken(is_used_up=not told.get("is_damaged", False))
        return Taken(told.get("amount", ""), told.get("left", ""), bool(told.get("is_used_up")))

    def _gather(self, told: dict[str, Any]) -> None:
        """The specimens from all that names some, each once, in that order."""
        keys: list[int] = []
        if text := str(told.get("accession") or "").strip():
            chosen = of_accession(text)
            keys += chosen.ids
            for problem in chosen.problems:
                self.add_error("accession", problem)
        keys += self._of_request(told.get("request_number"), told.get("of_request") or "approved")
        keys += self._of_loan(told.get("loan_number"), told.get("of_loan") or "out")
        keys += self.lines.taken
        self.ids = list(dict.fromkeys(keys))
        if not self.ids and not self.errors:
            self.add_error(
                "numbers", _t("Name at least one specimen: by its number, an accession, a request or a loan.")
            )

    def _of_request(self, request: UseRequest | None, which: str) -> tuple[int, ...]:
        if request is None or which == "none":
            return ()
        keys = approved_of(request) if which == "approved" else all_of(request)
        if not keys:
            self.add_error("of_request", _t("Request %(number)s has none of that.") % {"number": request.reference})
        return keys

    def _of_loan(self, loan: MadeUse | None, which: str) -> tuple[int, ...]:
        if loan is None or which == "none":
            return ()
        keys = out_on(loan) if self.deed in FROM_A_LOAN else lent_on(loan)
        if not keys:
            self.add_error("of_loan", _t("Nothing is out on loan %(loan)s.") % {"loan": loan})
        return keys

    def taken(self) -> dict[int, Taken]:
        """Of the specimens, what was taken of each: as their line says, else as is said of all."""
        common = self._common()
        return {key: self.lines.taken.get(key, common) for key in self.ids}

    def values(self) -> dict[str, Any]:
        """What the action takes beside deed, day and specimens."""
        told = self.face_values() | {"request": self.cleaned_data.get("request_number")}
        parent = self.cleaned_data.get("loan_number") if self.deed in FROM_A_LOAN else None
        told |= {"parent": parent, "use": self.chosen_use}
        return told | ({"due_on": self.cleaned_data["due_on"]} if "due_on" in self.fields else {})

    @property
    def groups(self) -> list[tuple[Any, str, list[Any]]]:
        """The fields in three parts."""
        parts = (
            (_("What, when, by or to whom"), "what",
             ("reference", "title", "recipient", "on", "until_on", "due_on", "use", "citation", "doi", "acknowledged",
              "commercial", "identification_only", "parts")),
            (_("Which specimens"), "which",
             ("request_number", "of_request", "loan_number", "of_loan", "accession", "numbers", "amount", "left",
              "is_used_up", "is_damaged")),
            (_("Note and scan"), "note", ("note", "letter", "understood")),
        )  # fmt: skip
        return [(head, key, [self[name] for name in names if name in self.fields]) for head, key, names in parts]


def _loan(text: str) -> MadeUse:
    """A loan by its number, or by # and its key."""
    rows = MadeUse.objects.filter(deed__in=LOANS, voided_at__isnull=True)
    key = text.removeprefix("#")
    by_key = rows.filter(pk=int(key)) if text.startswith("#") and key.isdigit() and len(key) < 19 else rows.none()
    found = list(by_key or rows.filter(reference__iexact=text)[:2])
    if len(found) == 1:
        return found[0]
    words = (
        _t("No loan has the number “%(n)s”.")
        if not found
        else _t("Several loans have the number “%(n)s”: name one by # and its key.")
    )
    raise ValidationError(words % {"n": text})


class UseEditForm(_Face):
    """An entry that is corrected. seen: the newest entry of its history that the person has before them."""

    seen = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["why"] = why_field(required=True)
        self.fields["why"].widget.attrs["class"] = "in"


def edit_initial(made: MadeUse) -> dict[str, Any]:
    """An entry as the form shows it."""
    told = {name: getattr(made, name) for name in FACE}
    return told | {"recipient": made.recipient_id or "", "use": "" if made.use is None else str(made.use)}


class VoidForm(Form):
    """Why an entry is voided."""

    why = why_field(required=True)
