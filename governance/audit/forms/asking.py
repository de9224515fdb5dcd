"""What a question is asked with: a form made of its parameters and the two clocks."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.functional import cached_property
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from accessions.people.entry_forms import DayInput, Form
from governance.audit.asking import Asked, Parameter, ParameterKind, Question, UnknownValueError
from governance.audit.queries.asking import CLOCKS, KNOWN, ON, asked_of, is_named, is_put, mistakes_of, written
from governance.audit.queries.offered import Suggestion, suggestions
from governance.jurisdictions.codes import country_codes
from governance.papers.countries import country_name

_LONGEST = 300


class FilterForm(Form):
    """Narrows the list of questions."""

    q = forms.CharField(label=gettext_lazy("Words of a question"), required=False, max_length=200)
    q.widget.attrs["placeholder"] = gettext_lazy("Loan, permit, scan")
    q.widget.input_type = "search"

    @property
    def words(self) -> list[str]:
        """The words that are looked for, folded."""
        self.is_valid()
        return str(self.cleaned_data.get("q", "")).casefold().split()


class WrittenField(forms.CharField):
    """A text as somebody wrote it; the question says what is wrong with it. is_needed: marked as such."""

    def __init__(self, *, is_needed: bool = False, **more: Any) -> None:
        super().__init__(max_length=_LONGEST, **more)
        self.required = is_needed

    def validate(self, value: Any) -> None:
        """Whether something is missing is told with all other mistakes."""


class AskForm(Form):
    """Asks a question by its address. ``asked`` stands once the form is valid."""

    asked: Asked

    def __init__(self, question: Question, address: QueryDict, user: Any, *, ask: bool = True) -> None:
        self.question, self.user, self.address = question, user, address
        self.is_named = is_named(question, address)
        self.is_put, self.told = ask and is_put(question, address), written(question, address)
        super().__init__(self.told if self.is_put else None, initial=self.told)
        for parameter in question.parameters:
            self.fields[parameter.key] = self._field(parameter)
        self.fields[ON] = WrittenField(
            label=_("As of (day in the world)"), widget=DayInput(), help_text=_("Blank: the day on which it is asked")
        )
        self.fields[KNOWN] = WrittenField(
            label=_("As known on (day of the register)"), widget=DayInput(), help_text=_("Blank: all that is entered")
        )

    def _field(self, parameter: Parameter) -> forms.Field:
        more: dict[str, Any] = {"label": parameter.label, "help_text": parameter.help}
        if parameter.kind in (ParameterKind.CHOICE, ParameterKind.COUNTRY):
            return WrittenField(
                is_needed=parameter.is_required, widget=forms.Select(choices=_choices(parameter)), **more
            )
        if parameter.kind is ParameterKind.DAY:
            return WrittenField(is_needed=parameter.is_required, widget=DayInput(), **more)
        field = WrittenField(is_needed=parameter.is_required, **more)
        if parameter.kind in (ParameterKind.DAYS, ParameterKind.YEAR):
            field.widget.attrs["inputmode"] = "numeric"
        field.widget.attrs |= {"autocomplete": "off", "list": f"known-{parameter.key}"}
        return field

    def clean(self) -> dict[str, Any]:
        """Reads all of it at once."""
        try:
            self.asked = asked_of(self.question, self.told, self.user)
        except UnknownValueError as error:
            self.refuse_values(error)
        return self.cleaned_data

    def unasked(self) -> AskForm:
        """The same before anything is asked."""
        return AskForm(self.question, self.address, self.user, ask=False)

    def refuse_values(self, error: UnknownValueError) -> None:
        """Put what cannot be found beside its field, what is of none above the form."""
        for name, words in mistakes_of(error).items():
            self.add_error(name if name in self.fields else None, words)

    @cached_property
    def suggested(self) -> list[tuple[str, list[Suggestion]]]:
        """What each field suggests, by the key of its list."""
        return [
            (f"known-{one.key}", suggestions(one.kind, self.told[one.key], self.user))
            for one in self.question.parameters
        ]  # fmt: skip

    @property
    def of_question(self) -> list[Any]:
        """The fields of the question's own."""
        return [self[one.key] for one in self.question.parameters]

    @property
    def of_clocks(self) -> list[Any]:
        """The fields of both clocks."""
        return [self[name] for name in CLOCKS]


def _choices(parameter: Parameter) -> list[tuple[str, Any]]:
    if parameter.kind is ParameterKind.CHOICE:
        own = list(parameter.choices)
    else:
        own = sorted(((code, country_name(code)) for code in country_codes()), key=lambda pair: pair[1])
    has_blank = any(code == "" for code, _words in own) or bool(own and own[0][0] == parameter.default)
    return own if has_blank else [("", _("Choose") if parameter.is_required else _("Any")), *own]
