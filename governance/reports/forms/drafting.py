"""What a new report asks, and what is changed of a draft."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.intake.forms import AccessionField
from accessions.people.entry_forms import Form, offer, why_field
from accessions.people.models import Agent
from governance.papers.forms.countries import CountryField
from governance.papers.models import Paper
from governance.papers.restriction import is_readable, restricted_words
from governance.reports.models import Report, ReportKind, ReportLanguage
from governance.reports.queries.offered import can_answer, duty_choices
from governance.reports.tables import ALWAYS, PARTS
from governance.reports.words import part_words

SUBJECTS: Final = {
    ReportKind.PROVIDER: ("country", "paper"), ReportKind.BENEFITS: ("country", "paper"),
    ReportKind.AGENCY: ("paper",), ReportKind.LANDOWNER: ("agent",),
    ReportKind.DILIGENCE: ("paper", "accession"), ReportKind.CERTIFICATE: ("paper",),
}  # fmt: skip
"""By kind, what it can be about."""

WITH_PERIOD: Final = frozenset({ReportKind.PROVIDER, ReportKind.BENEFITS, ReportKind.AGENCY})
"""Kinds that are about a time; others may name one."""

_ALL_SUBJECTS: Final = ("country", "paper", "agent", "accession")


class PaperField(forms.CharField):
    """The reference of a paper on file; the value is the paper, None where it is blank."""

    def __init__(self, **more: Any) -> None:
        super().__init__(**{"required": False, "max_length": 100} | more)
        self.widget.attrs |= {"list": "papers-known", "autocomplete": "off"}

    def clean(self, value: Any) -> Paper | None:
        text = str(super().clean(value) or "").strip()
        found = Paper.objects.filter(reference__iexact=text).first() if text else None
        if text and found is None:
            words = _t("No paper has the reference “%(text)s”. Write it as it stands on the paper.")
            raise ValidationError(words % {"text": text})
        return found

    def prepare_value(self, value: Any) -> Any:
        return value.reference if isinstance(value, Paper) else value


class OwnerField(forms.CharField):
    """The name of an agent; the value is the agent, None where it is blank."""

    def __init__(self, **more: Any) -> None:
        super().__init__(**{"required": False, "max_length": 300} | more)
        self.widget.attrs |= {"list": "owners-known", "autocomplete": "off"}

    def clean(self, value: Any) -> Agent | None:
        text = " ".join(str(super().clean(value) or "").split())
        found = list(Agent.objects.filter(name__iexact=text)[:2]) if text else []
        if text and len(found) != 1:
            one = _t("No agent is called “%(text)s”. Enter the owner among the agents first.")
            several = _t("Several agents are called “%(text)s”. Give them names that tell them apart.")
            raise ValidationError((several if found else one) % {"text": text})
        return found[0] if found else None

    def prepare_value(self, value: Any) -> Any:
        return value.name if isinstance(value, Agent) else value


class DraftForm(Form):
    """A report: what it is about, which time, which parts. person: who types; report: the draft that is changed."""

    reference = forms.CharField(
        label=_("Report number"), max_length=60, help_text=_("A number of your own; the next one is offered")
    )
    country = CountryField(label=_("Country"), help_text=_("The country that it is for"))
    paper = PaperField(label=_("Paper"), help_text=_("Its reference"))
    agent = OwnerField(label=_("Landowner"), help_text=_("The name as it stands among the agents"))
    accession = AccessionField(label=_("Accession"), required=False, max_length=100, help_text=_("Its number"))
    period_from = forms.DateField(label=_("Period from"), required=False)
    period_to = forms.DateField(label=_("Period to"), required=False)
    duty = forms.ChoiceField(
        label=_("The duty that it answers"), required=False,
        help_text=_("It is marked as done when you record that the report was sent"),
    )  # fmt: skip
    language = forms.ChoiceField(label=_("Language"), choices=ReportLanguage.choices)
    title = forms.CharField(
        label=_("Title"), required=False, max_length=300, help_text=_("Blank: as kind and subject say")
    )
    addressee = forms.CharField(
        label=_("Addressed to"), required=False, max_length=2000, widget=forms.Textarea(attrs={"lines": 3})
    )
    parts = forms.MultipleChoiceField(
        label=_("What goes in"), required=False, widget=forms.CheckboxSelectMultiple,
        help_text=_("Exceptions, numbers and what is not known stand in every report; they cannot be left out"),
    )  # fmt: skip
    why = why_field(required=False)

    def __init__(self, *args: Any, kind: str, person: Any, report: Report | None = None, **more: Any) -> None:
        super().__init__(*args, **more)
        self.kind, self.person, self.report = kind, person, report
        for name in set(_ALL_SUBJECTS) - set(SUBJECTS[ReportKind(kind)]):
            del self.fields[name]
        self._duties = duty_choices(person, kept=report.duty if report else None)
        offer(self.fields["duty"], [("", _("None")), *self._duty_groups()])
        offer(self.fields["parts"], [(key, part_words(key)) for key in PARTS[kind] if key not in ALWAYS])
        if kind in WITH_PERIOD:
            self.fields["period_from"].required = self.fields["period_to"].required = True
        if len(SUBJECTS[ReportKind(kind)]) == 1:
            self.fields[SUBJECTS[ReportKind(kind)][0]].required = True
        if report is None:
            self.fields["why"].widget = forms.HiddenInput()
        else:
            self.fields["why"].required = True

    def _duty_groups(self) -> list[tuple[str, Any]]:
        """The duties that a report on this subject answers; the others below a head of their own."""
        told = {name: self.initial.get(name) for name in ("country", "paper", "agent")}
        if not any(told.values()):
            return [(str(duty.pk), words) for duty, words in self._duties]
        subject = Report(kind=self.kind, **told | {"country": told["country"] or ""})
        own, others = list[tuple[str, str]](), list[tuple[str, str]]()
        for duty, words in self._duties:
            (own if can_answer(duty, subject) else others).append((str(duty.pk), words))
        return [*own, (_t("Of another subject"), others)] if others else [*own]

    @property
    def about(self) -> list[Any]:
        """What it is about, and which time."""
        names = [*(name for name in _ALL_SUBJECTS if name in self.fields), "period_from", "period_to"]
        return [self[name] for name in names]

    @property
    def face(self) -> list[Any]:
        """The rest, beside the parts."""
        return [self[name] for name in ("duty", "reference", "language", "title", "addressee")]

    def clean_reference(self) -> str:
        text = " ".join(str(self.cleaned_data["reference"]).split())
        others = Report.objects.filter(reference__iexact=text)
        if self.report is not None:
            others = others.exclude(pk=self.report.pk)
        if other := others.first():
            raise ValidationError(_t("“%(number)s” is taken. Give this report a number of its own.")
                                  % {"number": other.reference})  # fmt: skip
        return text

    def clean_paper(self) -> Paper | None:
        paper: Paper | None = self.cleaned_data["paper"]
        if paper is not None and not is_readable(paper, self.person):
            raise ValidationError(restricted_words(paper.restricted_to))
        return paper

    def clean(self) -> dict[str, Any]:
        told = super().clean() or {}
        self._check_subject(told)
        first, last = told.get("period_from"), told.get("period_to")
        if first and last and last < first:
            self.add_error("period_to", _t("%(last)s is before %(first)s.") % {"last": last, "first": first})
        return told

    def _check_subject(self, told: dict[str, Any]) -> None:
        names = SUBJECTS[ReportKind(self.kind)]
        if len(names) < 2 or any(name in self.errors for name in names):
            return
        given = [name for name in names if told.get(name)]
        if not given:
            words = _t("Say what it is about: %(either)s or %(other)s.")
        elif len(given) > 1:
            words = _t("It is about one of them: leave %(either)s or %(other)s blank.")
        else:
            return
        labels = [str(self.fields[name].label).lower() for name in names]
        self.add_error(names[0], words % {"either": labels[0], "other": labels[1]})

    def values(self) -> dict[str, Any]:
        """The fields of the report."""
        names = ("reference", "period_from", "period_to", "language", "title", "addressee")
        told = {name: self.cleaned_data[name] for name in names}
        told |= {name: self.cleaned_data.get(name) for name in _ALL_SUBJECTS if name in self.fields}
        chosen = set(self.cleaned_data["parts"])
        told["left_out"] = [key for key in PARTS[self.kind] if key not in ALWAYS and key not in chosen]
        told["duty"] = next((duty for duty, _w in self._duties if str(duty.pk) == self.cleaned_data["duty"]), None)
        return told


def draft_initial(report: Report) -> dict[str, Any]:
    """A draft as the form shows it."""
    names = ("reference", *_ALL_SUBJECTS, "period_from", "period_to", "language", "title", "addressee")
    told: dict[str, Any] = {name: getattr(report, name) for name in names}
    told["accession"] = report.accession.number if report.accession else ""
    told["duty"] = str(report.duty_id or "")
    told["parts"] = list(offered_parts(report.kind, report.left_out))
    return told


def offered_parts(kind: str, left_out: Any = ()) -> Iterator[str]:
    """The parts that can be left out and are in."""
    return (key for key in PARTS[kind] if key not in ALWAYS and key not in left_out)
