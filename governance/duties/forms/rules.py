"""What people type of rules of duties, and of how the house follows duties."""

from __future__ import annotations

import calendar
from collections.abc import Collection
from dataclasses import dataclass
from typing import Any, Final

from django import forms
from django.forms import BoundField
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.access import Verb, roles_that_may
from accessions.people.entry_forms import Form, RecordForm, why_field
from accessions.people.models import User
from governance.duties.forms.benefits import PaperField
from governance.duties.models import DutyHouse, DutyKind, DutyRule
from governance.duties.queries.rules import SHOWS, SORTS, WantedRules
from governance.engine.duties import BY_CALENDAR, When
from governance.papers.models import Paper
from governance.usedesk.models import MadeUse

_LEAP_YEAR: Final = 2024
_LONGEST: Final = {DutyRule.Unit.DAYS: 3660, DutyRule.Unit.MONTHS: 120, DutyRule.Unit.YEARS: 10}
"""Longer than this nobody counts: a slip of typing."""

_COUNTED: Final = frozenset(set(When) - {When.EACH_YEAR, When.ON_A_DAY})
_OF_PAPERS: Final = frozenset(one for one in When if one not in BY_CALENDAR and one != When.ON_A_DAY)
_EMPTY: Final = {"month_day": "", "number": 0, "on": None, "about": "", "deeds": [], "if_nothing": True}


_ABOUT: Final = [
    ("", _("As usual")), (DutyRule.About.YEAR_BEFORE.value, _("The calendar year before")),
    (DutyRule.About.UP_TO_THE_DAY.value, _("The twelve months before the day")),
]  # fmt: skip


def _parts_of(when: str) -> frozenset[str]:
    """The fields that belong to a way of counting; what stands in others from before is not kept."""
    parts = {
        When.EACH_YEAR: {"month_day", "about"}, When.ON_A_DAY: {"on"}, When.AFTER_USE: {"deeds"},
    }.get(When(when), set())  # fmt: skip
    counted = {"number"} if when in _COUNTED else set()
    return frozenset(parts | counted | ({"if_nothing"} if when in BY_CALENDAR else set()))


@dataclass(frozen=True)
class Part:
    """Boxes under a head. whens: the ways of counting that they belong to, as the page's script reads them; "": any."""

    head: Any
    key: str
    fields: list[BoundField]
    whens: str = ""


def _belongs(whens: Collection[str]) -> str:
    return " ".join(sorted(whens))


class RuleForm(RecordForm):
    """What is asked for, and from which day it is counted. is_trial: only the days are to be shown, so no reason is
    asked for."""

    GROUPS: Final = (
        (_("What is asked for"), "what", ("paper", "kind", "assignee", "what", "to_whom"), ()),
        (_("When it falls due"), "when", ("when",), ()),
        (_("How long after that day, or before it"), "counted", ("number", "unit"), _COUNTED),
        (_("By which day each year"), "yearly", ("month_day", "about"), {When.EACH_YEAR}),
        (_("Once, by which day"), "once", ("on",), {When.ON_A_DAY}),
        (_("After which uses"), "uses", ("deeds",), {When.AFTER_USE}),
        (_("If nothing was taken"), "nothing", ("if_nothing",), BY_CALENDAR),
        (_("Since when it is asked for"), "held", ("held_from", "held_to"), ()),
        (_("Where it stands"), "clause", ("clause", "clause_number", "page", "why"), ()),
    )  # fmt: skip

    paper = PaperField(help_text=_("Blank: the house itself asks for it"))
    when = forms.ChoiceField(label=_("When"), choices=[("", _("Choose")), *DutyRule.When.choices])
    kind = forms.ChoiceField(label=_("What is to be done"), choices=[("", _("Choose")), *DutyKind.choices])
    number = forms.IntegerField(
        label=_("How many"), required=False, min_value=0,
        help_text=_("Such as 30. Blank: on the day itself"),
    )  # fmt: skip
    deeds = forms.MultipleChoiceField(
        label=_("Which uses"), required=False, choices=MadeUse.Deed.choices, widget=forms.CheckboxSelectMultiple,
        help_text=_("None ticked: after every use"),
    )  # fmt: skip
    assignee = forms.ModelChoiceField(
        User.objects.none(), label=_("Who sees to it"), required=False, empty_label=_("Nobody yet"),
        help_text=_("Sees to the duties that follow from now on"),
    )  # fmt: skip
    seen = forms.IntegerField(required=False, widget=forms.HiddenInput)

    class Meta:
        model = DutyRule
        fields = (
            "paper", "kind", "what", "to_whom", "clause", "clause_number", "page", "when", "month_day", "number",
            "unit", "on", "about", "deeds", "if_nothing", "assignee", "held_from", "held_to",
        )  # fmt: skip

    def __init__(self, *args: Any, is_trial: bool = False, **more: Any) -> None:
        super().__init__(*args, **more)
        people: Any = self.fields["assignee"]
        people.queryset = User.objects.filter(is_active=True, role__in=roles_that_may(Verb.KEEP_DUTIES))
        people.label_from_instance = lambda one: one.shown_name
        self.fields["when"].help_text = _("The boxes that belong to it follow below")
        self.fields["what"].help_text = _("Such as: send the list of specimens taken")
        self.fields["month_day"].help_text = _("Month and day: 01-31 is 31 January")
        about: Any = self.fields["about"]
        about.choices = _ABOUT
        about.help_text = _("As usual: due by June, the calendar year before; due later, the twelve months before")
        self.fields["held_from"].help_text = _("If an amendment brought it. Blank: as long as the paper stands")
        self.fields["held_to"].help_text = _("If an amendment ended it")
        self.fields["if_nothing"].label = _("A report that nothing was taken is asked for as well (nil return)")
        self.fields["unit"].required = False
        self.fields["clause"].widget.attrs["lines"] = 4
        if is_trial:
            self.fields["why"].required = False
        if not self.is_new:
            self.initial["paper"] = self.instance.paper
            self.fields["paper"].disabled = True
            self.fields["paper"].help_text = _("A rule stays with its paper")

    @property
    def groups(self) -> list[Part]:
        """The boxes under their heads."""
        return [Part(head, key, self._shown(names), _belongs(whens)) for head, key, names, whens in self.GROUPS]

    def _shown(self, names: tuple[str, ...]) -> list[BoundField]:
        return [self[name] for name in names if not self[name].is_hidden]

    def clean_number(self) -> int:
        return self.cleaned_data["number"] or 0

    def clean_unit(self) -> str:
        """Days, where the box was left out since it belongs to another way of counting."""
        return str(self.cleaned_data["unit"] or DutyRule.Unit.DAYS)

    def clean_deeds(self) -> list[str]:
        return list(self.cleaned_data["deeds"])

    def clean_month_day(self) -> str:
        text = str(self.cleaned_data["month_day"]).strip()
        if text and not _is_month_day(text):
            words = _t("“%(text)s” is no day of the year. Write month and day as MM-DD, such as 01-31 for 31 January.")
            raise forms.ValidationError(words % {"text": text[:20]})
        return text

    def clean(self) -> dict[str, Any]:
        """What belongs to the way of counting is there; what does not is not kept."""
        told = super().clean() or {}
        when = told.get("when")
        if when:
            parts = _parts_of(when)
            told |= {name: empty for name, empty in _EMPTY.items() if name not in parts}
            self._check_parts(told, when)
        return told

    def _check_parts(self, told: dict[str, Any], when: str) -> None:
        if when == When.EACH_YEAR and not told.get("month_day") and "month_day" not in self.errors:
            self.add_error("month_day", _t("Say by which day of each year: month and day, such as 01-31."))
        if when == When.ON_A_DAY and not told.get("on") and "on" not in self.errors:
            self.add_error("on", _t("Say by which day."))
        if when in _OF_PAPERS and told.get("paper") is None and "paper" not in self.errors:
            self.add_error("paper", _t("Name the paper: without one only days of the calendar are known."))
        most = _LONGEST.get(told.get("unit", ""), 0)
        if most and (told.get("number") or 0) > most:
            self.add_error("number", _t("Check the number: at most %(most)d of these are counted.") % {"most": most})

    def values(self) -> dict[str, Any]:
        """All columns: what was left out with a change of ``when`` is to be emptied as well; the action writes what
        differs."""
        return {name: self.cleaned_data[name] for name in self._meta.fields or ()}

    def as_rule(self) -> DutyRule:
        """The rule as typed, for the preview; it is not saved."""
        return DutyRule(pk=self.instance.pk, **self.values())


def _is_month_day(text: str) -> bool:
    """A day that some year has: 02-29 is one, 02-30 is none."""
    month, dash, day = text.partition("-")
    if not dash or len(month) != 2 or len(day) != 2 or not (month + day).isascii() or not (month + day).isdigit():
        return False
    return 1 <= int(month) <= 12 and 1 <= int(day) <= calendar.monthrange(_LEAP_YEAR, int(month))[1]


class EndRuleForm(Form):
    """Why a rule ends, and what becomes of the duties that are open."""

    STAYS, GOES = "stays", "goes"

    open_duties = forms.ChoiceField(
        label=_("Duties that follow from it and are open"), widget=forms.RadioSelect,
        choices=[(STAYS, _("Are still to be done")), (GOES, _("Are no longer asked for"))],
        error_messages={"required": _("Say what becomes of the duties that are open.")},
    )  # fmt: skip
    why = why_field(required=True)

    def __init__(self, *args: Any, has_open: bool, **more: Any) -> None:
        super().__init__(*args, **more)
        if not has_open:
            del self.fields["open_duties"]

    @property
    def keeps_open(self) -> bool:
        """Whether they are still to be done; with none open there is nothing to say."""
        return bool(self.cleaned_data.get("open_duties", self.STAYS) == self.STAYS)


class RuleFilterForm(Form):
    """Narrows the list of rules."""

    q = forms.CharField(label=_("Words"), required=False, max_length=200)
    q.widget.attrs["placeholder"] = _("What, to whom, paper")
    kind = forms.ChoiceField(label=_("What is to be done"), required=False, choices=[("", _("All")), *DutyKind.choices])
    when = forms.ChoiceField(label=_("When"), required=False, choices=[("", _("Any")), *DutyRule.When.choices])
    state = forms.ChoiceField(
        label=_("Rules"), required=False, choices=[("", _("All")), ("holds", _("That hold")), ("ended", _("Ended"))]
    )
    paper = forms.ModelChoiceField(Paper.objects.all(), required=False, widget=forms.HiddenInput)
    show = forms.ChoiceField(required=False, widget=forms.HiddenInput, choices=[(one, one) for one in SHOWS])
    sort = forms.ChoiceField(
        required=False, widget=forms.HiddenInput, choices=[(key, key) for name in SORTS for key in (name, f"-{name}")]
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.wanted = self._wanted()
        if self.wanted.show != SHOWS[0]:
            del self.fields["when"], self.fields["state"]
        if self.wanted.show == SHOWS[2]:
            del self.fields["kind"]

    def _wanted(self) -> WantedRules:
        """The filter that was asked for; a value that makes no sense narrows nothing."""
        self.is_valid()
        told = {name: value for name, value in self.cleaned_data.items() if value}
        self.of_paper: Paper | None = told.get("paper")
        if self.of_paper is not None:
            told["paper"] = str(self.of_paper.pk)
        return WantedRules(**told)


class DutyHouseForm(RecordForm):
    """How the house follows duties."""

    class Meta:
        model = DutyHouse
        fields = ("follow_from", "ahead_days")

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.is_new = False
        self.fields["why"] = why_field(required=True)
        self.fields["why"].widget.attrs["class"] = "in"
        self.fields["ahead_days"].help_text = _("Days before its day from which on a duty is shown as due; 0 to 366")

    def values(self) -> dict[str, Any]:
        """Both: the action writes what changed."""
        return {name: self.cleaned_data[name] for name in self._meta.fields or ()}

    def _post_clean(self) -> None:
        """The action checks the row; the form would look for a second one with its key."""
