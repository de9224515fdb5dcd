"""What people type of shared pages: those who make one, and those who read one."""

from __future__ import annotations

from datetime import timedelta
from typing import Any, Final

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import MaxLengthValidator
from django.utils import timezone
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form, offer, why_field
from governance.papers.forms.countries import CountryField
from governance.papers.printed.language import PrintedLanguage
from governance.papers.restriction import is_readable, restricted_words
from governance.reports.actions.sharing import LONGEST_MESSAGE, MOST_DAYS
from governance.reports.forms.drafting import OwnerField, PaperField
from governance.reports.models import Report, ReportLanguage, ShareLink
from governance.reports.queries.shares import may_share_some, reports_to_share
from governance.reports.subjects import heading_of

DAYS_OPEN: Final = 90
"""How long a page is open unless a person says otherwise."""


class _Face(Form):
    """What a page says and offers, new or changed."""

    name = forms.CharField(
        label=_("For whom"), max_length=300, help_text=_("Stands at the top of the page: the authority, the owner")
    )
    language = forms.ChoiceField(label=_("Language of the page"), choices=ReportLanguage.choices)
    open_until = forms.DateField(label=_("Open until"))
    greeting = forms.CharField(
        label=_("Words at the top"), required=False, max_length=4_000, widget=forms.Textarea(attrs={"lines": 3}),
        help_text=_("In the language of the page"),
    )  # fmt: skip
    shows_material = forms.BooleanField(label=_("Show the material and what became of it"), required=False)
    takes_messages = forms.BooleanField(label=_("Let them leave a message"), required=False)
    reports = forms.MultipleChoiceField(
        label=_("Issued reports to download"), required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["open_until"].help_text = _("Its last day, at most %(n)d days from today") % {"n": MOST_DAYS}

    def _offer_reports(self, rows: list[Report]) -> None:
        self._reports = {str(one.pk): one for one in rows}
        offer(self.fields["reports"], [(key, f"{one.reference}: {heading_of(one)}")
                                       for key, one in self._reports.items()])  # fmt: skip
        if not rows:
            del self.fields["reports"]

    def chosen(self) -> list[Report]:
        """The reports that were ticked."""
        return [self._reports[key] for key in self.cleaned_data.get("reports", ())]

    def values(self) -> dict[str, Any]:
        """The columns of the link."""
        names = ("name", "language", "open_until", "greeting", "shows_material", "takes_messages")
        return {name: self.cleaned_data[name] for name in names}


class ShareForm(_Face):
    """A new page. person: who makes it."""

    country = CountryField(label=_("About a country"))
    paper = PaperField(label=_("Or about a paper"))
    agent = OwnerField(label=_("Or about the land of"), help_text=_("They see what was taken on their land alone"))
    field_order = ("name", "country", "paper", "agent", "language", "open_until", "greeting")

    def __init__(self, *args: Any, person: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self._person = person
        self._offer_reports(list(may_share_some(person)[:200]))

    @staticmethod
    def start() -> dict[str, Any]:
        """What a new form shows."""
        until = timezone.localdate() + timedelta(DAYS_OPEN)
        return {"open_until": until, "shows_material": True, "takes_messages": True, "language": "en"}

    def clean_paper(self) -> Any:
        paper = self.cleaned_data["paper"]
        if paper is not None and not is_readable(paper, self._person):
            raise ValidationError(restricted_words(paper.restricted_to))
        return paper

    def clean(self) -> dict[str, Any] | None:
        told = super().clean() or self.cleaned_data
        about = [told.get(name) for name in ("country", "paper", "agent")]
        if len([one for one in about if one]) != 1 and not set(self.errors) & {"country", "paper", "agent"}:
            raise ValidationError(_t("Say what it is about: a country, a paper or a landowner, one of them."))
        return told

    def values(self) -> dict[str, Any]:
        told = self.cleaned_data
        return super().values() | {name: told[name] for name in ("country", "paper", "agent")}


class ShareEditForm(_Face):
    """A page that is changed."""

    why = why_field(required=True)

    def __init__(self, *args: Any, person: Any, link: ShareLink, **more: Any) -> None:
        super().__init__(*args, **more)
        about = reports_to_share(person, country=link.country, paper=link.paper_id, agent=link.agent_id)
        had = list(Report.objects.filter(shared_by__link=link).select_related("paper", "agent"))
        rows = {one.pk: one for one in [*about.select_related("paper", "agent"), *had]}
        self._offer_reports(sorted(rows.values(), key=lambda one: -one.pk))

    @staticmethod
    def start(link: ShareLink) -> dict[str, Any]:
        """A link as the form shows it."""
        names = ("name", "language", "open_until", "greeting", "shows_material", "takes_messages")
        reports = [str(key) for key in link.shared_reports.values_list("report", flat=True)]
        return {name: getattr(link, name) for name in names} | {"reports": reports}


class RevokeForm(Form):
    """Why a page is closed before its day."""

    why = why_field(required=True)


class MessageForm(Form):
    """What the reader of a shared page writes, in the language of the page. kept_blank: a box that people do not
    see: a program fills it, or a browser by itself, so the message is shown again and not thrown away."""

    name = forms.CharField(max_length=200)
    contact = forms.CharField(max_length=300, required=False)
    text = forms.CharField(max_length=LONGEST_MESSAGE, widget=forms.Textarea(attrs={"lines": 5}))
    kept_blank = forms.CharField(required=False)

    def __init__(self, *args: Any, words: PrintedLanguage, **more: Any) -> None:
        super().__init__(*args, **more)
        for name, label in (
            ("name", "your_name"),
            ("contact", "contact"),
            ("text", "text"),
            ("kept_blank", "leave_blank"),
        ):
            field = self.fields[name]
            field.label = words(label)
            field.error_messages["required"] = words("missing")
            for check in field.validators:
                if isinstance(check, MaxLengthValidator):
                    check.message = words("too_long", n=check.limit_value)
        self.fields["contact"].help_text = words("contact_hint")
        self._filled = words("filled")
        self.fields["kept_blank"].widget.attrs |= {"tabindex": "-1", "autocomplete": "off"}
        self.fields["name"].widget.attrs["autocomplete"] = "name"

    def clean(self) -> dict[str, Any] | None:
        """The box that is to stay blank is emptied, so that a person can send what they wrote once more."""
        if self.cleaned_data.get("kept_blank"):
            self.data = {name: value for name, value in self.data.items() if name != "kept_blank"}
            raise ValidationError(self._filled)
        return super().clean()

    def values(self) -> dict[str, str]:
        """What is kept."""
        return {name: self.cleaned_data[name] for name in ("name", "contact", "text")}
