"""What a version says of the use of material, as one page: the reading as a whole, and a block for each use."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from accessions.intake.problems import FileProblems
from accessions.people.entry_forms import Form, why_field
from governance.engine.uses import Ownership, Said, Use
from governance.papers.forms.places import code_of
from governance.papers.models import OWNERSHIP_NAMES, RECIPIENT_NAMES, SAID_NAMES, USE_NAMES
from governance.papers.terms_of_use import CONDITIONS, term_problems, with_silence

_LONGEST_CLAUSE: Final = 20_000
_LAST_PAGE: Final = 9999
_MOST_COUNTRIES: Final = 66
_PATH: Final = re.compile(r"\.terms_of_use\.(?:uses\[(?P<number>\d+)\]\.)?(?P<key>\w+)")
_CODES: Final = re.compile(r"[A-Z]{2}(?: +[A-Z]{2})+")

OTHERWISE: Final = (Said.NOT_ALLOWED, Said.ASK_FIRST, Said.SILENT)


def page_field(label: Any) -> forms.IntegerField:
    """A page of the paper, counted from 1."""
    attrs = {"inputmode": "numeric", "class": "in s w-page num", "autocomplete": "off"}
    return forms.IntegerField(
        label=label, required=False, min_value=1, max_value=_LAST_PAGE, widget=forms.TextInput(attrs=attrs)
    )


class WordsField(forms.CharField):
    """Words of a paper, over several lines."""

    def __init__(self, *, lines: int = 2, **more: Any) -> None:
        widget = forms.Textarea(attrs={"lines": lines})
        super().__init__(required=False, max_length=_LONGEST_CLAUSE, widget=widget, **more)

    def clean(self, value: Any) -> Any:
        """Lines end alike whichever browser sent them, so that what nobody changed is not saved as changed."""
        return str(super().clean(value)).replace("\r\n", "\n")


class ListField(forms.CharField):
    """Several words in one box, with commas between."""

    def clean(self, value: Any) -> Any:
        """The words, each once."""
        text = str(super().clean(value) or "")
        return list(dict.fromkeys(" ".join(part.split()) for part in re.split(r"[,;\n]", text) if part.strip()))

    def prepare_value(self, value: Any) -> Any:
        return ", ".join(map(str, value)) if isinstance(value, list | tuple) else value


class CountriesField(ListField):
    """Countries by code or name: ``SE, IS`` or ``Sweden, Iceland``. Every one that is not known is told at once.

    The box holds codes, since some names have a comma in them.
    """

    def clean(self, value: Any) -> list[str]:
        text = str(value or "").strip()
        words = super().clean(text.replace(" ", ",") if _CODES.fullmatch(text) else value)
        codes = {word: code_of(word) or code_of(word.upper()) for word in words}
        unknown = [word for word, code in codes.items() if len(code) != 2]
        if unknown:
            raise ValidationError(
                _t("%(words)s: no country of ISO 3166-1. Write two letters, such as SE, or the name; commas between.")
                % {"words": ", ".join(f"“{word[:40]}”" for word in unknown)}
            )
        if len(codes) > _MOST_COUNTRIES:
            words = _t("%(n)d countries stand there; at most %(most)d are kept.")
            raise ValidationError(words % {"n": len(codes), "most": _MOST_COUNTRIES})
        return sorted(set(codes.values()))


class UseForm(Form):
    """One use: the answer that the paper gives, its clause, its conditions. Blank: not read yet."""

    said = forms.ChoiceField(
        label=_("The paper says"), required=False, widget=forms.RadioSelect,
        choices=[("", _("Not read yet")), *((said.code, SAID_NAMES[said]) for said in Said)],
    )  # fmt: skip
    like = forms.ChoiceField(
        label=_("The same clause as"), required=False, help_text=_("What is blank here is taken from there on saving")
    )
    clause = WordsField(label=_("Clause, in its words"), lines=3)
    clause_number = forms.CharField(label=_("Clause number"), required=False, max_length=40)
    page = page_field(_("Page"))
    duties = WordsField(label=_("Duties"), lines=2, help_text=_("What must be done for it"))
    recipients = forms.MultipleChoiceField(
        label=_("Only to"), required=False, widget=forms.CheckboxSelectMultiple,
        choices=[(kind.code, name) for kind, name in RECIPIENT_NAMES.items()],
    )  # fmt: skip
    only_in = CountriesField(label=_("Only in"), required=False, help_text=_("Countries, commas between"))
    not_in = CountriesField(label=_("Not in"), required=False, help_text=_("Countries, commas between"))
    non_commercial_only = forms.BooleanField(label=_("Non-commercial only"), required=False)
    identification_only = forms.BooleanField(label=_("For identification only"), required=False)
    most_specimens = forms.IntegerField(
        label=_("At most, specimens"), required=False, min_value=1, max_value=2**31 - 1,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "class": "in num"}),
        help_text=_("In all, under this paper"),
    )  # fmt: skip
    amount = forms.CharField(
        label=pgettext_lazy("of material", "Amount"),
        required=False,
        max_length=200,
        help_text=_("Such as one leg of each"),
    )
    parts = ListField(label=_("Only these parts"), required=False, max_length=200, help_text=_("Such as leg, wing"))
    not_before = forms.DateField(label=_("Not before"), required=False)
    other_condition = WordsField(label=_("Other condition"), lines=2, help_text=_("What only a person can check"))
    otherwise = forms.ChoiceField(
        label=_("If a condition is not met"), required=False,
        choices=[(said.code, SAID_NAMES[said]) for said in OTHERWISE],
    )  # fmt: skip

    def __init__(self, data: Any, *, use: Use, initial: Mapping[str, Any] | None) -> None:
        super().__init__(data, prefix=use.code, initial={"said": "", **(initial or {})})
        self.use, self.named = use, USE_NAMES[use]
        others = [(other.code, USE_NAMES[other]) for other in Use if other != use]
        self.fields["like"].choices = [("", _("no other use")), *others]  # type: ignore[attr-defined]

    @property
    def said_now(self) -> str:
        """The answer as the page shows it: what was typed, else what stands."""
        told = str(self["said"].value() or "")
        return told if told in {said.code for said in Said} else ""

    @property
    def has_conditions(self) -> bool:
        """Whether the block of conditions is to stand open."""
        return any(self[name].value() for name in CONDITIONS if name != "duties") or self.errors_inside

    @property
    def errors_inside(self) -> bool:
        return self.is_bound and bool(self.errors.keys() & {*CONDITIONS, "otherwise"} - {"duties"})

    @property
    def is_blank(self) -> bool:
        """Whether nothing at all was typed; what was typed and cannot be read counts."""
        return not self.errors and not any(self.cleaned_data.get(name) for name in ("said", "like", *VALUES))


VALUES: Final = ("clause", "clause_number", "page", *CONDITIONS)
"""Fields that make up a term, beside the answer and what holds otherwise."""


class ReadingForm(Form):
    """The version as a whole. is_read: somebody had read it before this page was opened, so that who changes it says
    why."""

    ownership = forms.ChoiceField(
        label=_("Who keeps the title"), choices=[(one.code, name) for one, name in OWNERSHIP_NAMES.items()]
    )
    ownership_clause = WordsField(label=_("Clause on it, in its words"), lines=2)
    ownership_page = page_field(_("Page of the clause on title"))
    ask_whom = forms.CharField(
        label=_("Whom to ask first"), required=False, max_length=300, help_text=_("Blank: who gave the paper")
    )
    reply_days = forms.IntegerField(
        label=_("A reply takes about (days)"), required=False, min_value=0, max_value=3650,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "class": "in num"}),
    )  # fmt: skip
    acknowledgement = WordsField(
        label=_("Words of acknowledgement"),
        lines=2,
        help_text=_("As the paper wants them in print. They are a duty of every use."),
    )
    note = WordsField(label=_("Note"), lines=2)
    whole_text_read = forms.BooleanField(
        label=_("I read the whole text of this version"), required=False,
        help_text=_("Only who read all of it knows that it says nothing of a use."),
    )  # fmt: skip
    rest_is_silent = forms.BooleanField(
        label=_("All uses that are left as “not read yet” are silent"), required=False,
    )  # fmt: skip
    why = why_field(required=False)
    base = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, data: Any, *, initial: Mapping[str, Any], is_read: bool) -> None:
        super().__init__(data, initial=initial)
        self.fields["why"].required = is_read

    def clean(self) -> dict[str, Any]:
        """Silence is told by whoever read all of the text."""
        told = super().clean() or {}
        if told.get("rest_is_silent") and not told.get("whole_text_read"):
            self.add_error(
                "rest_is_silent",
                _t("Tick that the whole text was read, too: only then is it known to be silent. Or leave these uses "
                   "as not read yet."),
            )  # fmt: skip
        return told


_NOT_SAID: Final = Ownership.NOT_SAID.code

READING: Final = (
    "ownership", "ownership_clause", "ownership_page", "ask_whom", "reply_days", "acknowledgement", "whole_text_read",
    "note",
)  # fmt: skip


class UseSheet:
    """The page: one reading and a block a use, which become one value of ``terms_of_use``.

    base: the value that the person begins from or saw last; it goes along with the form, so that a second person's
    save is noticed and can be joined. initial: what the boxes hold, if that is another one (a copy, or what was
    joined).
    """

    def __init__(self, data: Any, base: Mapping[str, Any], initial: Mapping[str, Any] | None = None) -> None:
        value = base if initial is None else initial
        terms = {term["use"]: term for term in value.get("uses", ())}
        told = {key: value[key] for key in READING if key in value}
        seen = json.dumps(base) if data is None else str(data.get("base", ""))
        self.reading = ReadingForm(data, initial=told | {"base": seen}, is_read=seen not in ("", "{}"))
        self.uses = [UseForm(data, use=use, initial=terms.get(use.code)) for use in Use]
        self.is_bound = data is not None

    @property
    def forms(self) -> list[Any]:
        """All forms of the page, for the summary above them."""
        return [*self.uses, self.reading]

    @property
    def read_count(self) -> int:
        """Uses that have an answer in the form."""
        return sum(bool(form.said_now) for form in self.uses)

    def is_valid(self) -> bool:
        """All problems of all blocks at once."""
        all([form.is_valid() for form in self.forms])
        self._take_over()
        whole = bool(self.reading.cleaned_data.get("whole_text_read"))
        for form in self.uses:
            for field, words in _problems(form, whole):
                if field not in form.errors:
                    form.add_error(field, words)
        return not any(form.errors for form in self.forms)

    def object(self) -> dict[str, Any]:
        """The value of ``terms_of_use``; of a valid page."""
        told = {key: self.reading.cleaned_data[key] for key in READING}
        value = {
            **{key: item for key, item in told.items() if item not in ("", None, _NOT_SAID) and item is not False},
            "uses": [_term(form) for form in self.uses if form.cleaned_data.get("said")],
        }  # fmt: skip
        return with_silence(value) if self.reading.cleaned_data.get("rest_is_silent") else value

    def base(self) -> dict[str, Any]:
        """What the person saw; nothing if that cannot be read."""
        try:
            value = json.loads(self.reading.cleaned_data.get("base") or "{}")
        except (ValueError, RecursionError):
            return {}
        is_one = isinstance(value, dict) and isinstance(value.get("uses", []), list)
        return value if is_one else {}

    def refuse(self, problems: FileProblems) -> None:
        """Put what the reading refused beside its box; what is about none stands above the form."""
        told = [form for form in self.uses if form.cleaned_data.get("said")]
        for problem in problems.problems:
            words = f"{problem.found[:1].upper()}{problem.found[1:]}. {problem.expected}"
            match = _PATH.search(problem.where)
            number = int(match["number"]) if match and match["number"] else None
            form = self.reading if number is None or number >= len(told) else told[number]
            form.add_error(match["key"] if match and match["key"] in form.fields else None, words)

    def _take_over(self) -> None:
        """Blocks that are as another one take from it what they leave blank."""
        by_code = {form.use.code: form for form in self.uses}
        given = {form.use.code: dict(form.cleaned_data) for form in self.uses}
        for form in self.uses:
            like = form.cleaned_data.get("like")
            if not like:
                continue
            if given[like].get("like"):
                form.add_error("like", _like_problem(by_code[like]))
            elif not given[like].get("said"):
                form.add_error(
                    "like",
                    _t("Nothing is entered for “%(use)s”, so there is nothing to take.") % {"use": by_code[like].named},
                )
            else:
                _fill(form, given[like])


def _like_problem(other: UseForm) -> str:
    return _t("“%(use)s” is itself given as another one. Choose the use where the clause is written.") % {
        "use": other.named
    }


def _fill(form: UseForm, source: Mapping[str, Any]) -> None:
    for name in ("said", *VALUES):
        if not form.cleaned_data.get(name) and name not in form.errors:
            form.cleaned_data[name] = source.get(name)
    if any(source.get(name) for name in CONDITIONS):
        form.cleaned_data["otherwise"] = source.get("otherwise")


def _problems(form: UseForm, whole_text_read: bool) -> Iterator[tuple[str, str]]:
    if form.is_blank or form.errors.keys() & {"said", "like"}:
        return
    if not form.cleaned_data.get("said"):
        yield (
            "said",
            _t("Something is written here, but not what the paper says. Choose the answer, or clear the boxes."),
        )
        return
    for key, found, expected in term_problems(form.cleaned_data, whole_text_read=whole_text_read):
        yield key, f"{found[:1].upper()}{found[1:]}. {expected}"


def _term(form: UseForm) -> dict[str, Any]:
    told = form.cleaned_data
    value = {"use": form.use.code, "said": told["said"]}
    value |= {name: told[name] for name in VALUES if told.get(name) not in ("", None, [], False)}
    if told.get("not_before"):
        value["not_before"] = told["not_before"].isoformat()
    if told.get("otherwise") and told["otherwise"] != Said.NOT_ALLOWED.code:
        value["otherwise"] = told["otherwise"]
    return value


def names_of(codes: Sequence[str]) -> str:
    """Uses by their words of the file, as the page names them."""
    return ", ".join(str(USE_NAMES[Use.from_code(code)]) for code in codes)
