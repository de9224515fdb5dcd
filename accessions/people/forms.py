"""Forms of the room. They check what was typed; the actions check what it would do."""

from __future__ import annotations

from typing import Any

from django import forms
from django.conf import settings
from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import DressedForm, Form, why_field
from accessions.people.models import Agent, AgentName, Role, User
from accessions.people.queries import agents_named


class SignInForm(Form):
    """Name and password."""

    username = forms.CharField(
        label=_("Name"),
        max_length=150,
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none", "spellcheck": "false"}),
    )
    password = forms.CharField(
        label=_("Password"),
        strip=False,
        max_length=1024,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
    next = forms.CharField(required=False, widget=forms.HiddenInput)


class _NewPassword(Form):
    """A new password, typed twice."""

    password = forms.CharField(
        label=_("New password"),
        strip=False,
        max_length=1024,
        help_text=_("10 characters or more, such as four words; not the name, and not one that everybody uses"),
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    again = forms.CharField(
        label=_("The new password again"),
        strip=False,
        max_length=1024,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if {"password", "again"} <= cleaned.keys() and cleaned["password"] != cleaned["again"]:
            self.add_error("again", _("The two passwords differ. Type the new one twice."))
        return cleaned


class OwnPasswordForm(_NewPassword):
    """Somebody's own new password, with the present one."""

    present = forms.CharField(
        label=_("Present password"),
        strip=False,
        max_length=1024,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
    field_order = ["present", "password", "again"]

    def __init__(self, *args: Any, person: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.person = person

    def clean_present(self) -> str:
        present: str = self.cleaned_data["present"]
        if not self.person.check_password(present):
            raise ValidationError(_("This is not your present password."))
        return present


class PasswordForm(_NewPassword):
    """A password that an administrator gives."""


class ThemeForm(Form):
    """How pages look."""

    THEMES = [("light", _("Light")), ("dark", _("Dark")), ("auto", _("As the device is set"))]

    theme = forms.ChoiceField(label=_("Pages are shown"), choices=THEMES, widget=forms.RadioSelect)


class LanguageForm(Form):
    """In which language pages are read, and the page to go back to."""

    language = forms.ChoiceField(label=_("Language"), choices=settings.LANGUAGES, widget=forms.RadioSelect)
    next = forms.CharField(required=False, widget=forms.HiddenInput)


class PeopleFilterForm(Form):
    """What the list of people shows."""

    role = forms.ChoiceField(label=_("Role"), required=False, choices=[("", _("All roles")), *Role.choices])
    state = forms.ChoiceField(
        label=_("State"),
        required=False,
        choices=[("", _("All")), ("active", _("Active")), ("deactivated", _("Deactivated"))],
    )
    sort = forms.ChoiceField(
        label=_("Sorted by"),
        required=False,
        choices=[("name", _("Name")), ("role", _("Role")), ("seen", _("Last signed in"))],
    )


class _RecordedAs(Form):
    """The agent as which somebody is recorded, by any form of the name."""

    agent = forms.CharField(
        label=_("Recorded as"),
        required=False,
        max_length=200,
        help_text=_("The agent who this person is on labels, by any form of the name; blank if none"),
    )

    def clean_agent(self) -> Agent | None:
        text: str = self.cleaned_data["agent"]
        if not text:
            return None
        found = list(agents_named(text)[:2])
        if len(found) == 1:
            return found[0]
        words = (
            gettext("“%(name)s” is the name of more than one agent. Write a form that only one of them has.")
            if found
            else gettext("No agent has the name “%(name)s”. Check the spelling, or add the agent first.")
        )
        raise ValidationError(words % {"name": text})


class PersonForm(_RecordedAs):
    """Name and e-mail address of somebody who signs in."""

    first_name = forms.CharField(label=_("Given name"), required=False, max_length=150)
    last_name = forms.CharField(label=_("Family name"), required=False, max_length=150)
    email = forms.EmailField(label=_("E-mail"), required=False, max_length=254)
    field_order = ["username", "role", "first_name", "last_name", "email", "agent"]


class NewPersonForm(PersonForm, _NewPassword):
    """Everything that it takes to let somebody in."""

    username = forms.CharField(
        label=_("Signs in as"),
        max_length=150,
        help_text=_("Letters, digits and @ . + - _; it is not changed later"),
        validators=[User.username_validator],
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "none", "spellcheck": "false"}),
    )
    role = forms.ChoiceField(label=_("Role"), choices=[("", _("Choose a role")), *Role.choices])


class RoleForm(Form):
    """Another role, and why."""

    role = forms.ChoiceField(label=_("Role"), choices=Role.choices)
    why = why_field(required=False)


class ReasonForm(Form):
    """Why something is done."""

    why = why_field(required=False)


class AgentFilterForm(Form):
    """What the list of agents shows."""

    q = forms.CharField(label=_("Name, in any form"), required=False, max_length=200)
    kind = forms.ChoiceField(label=_("Kind"), required=False, choices=[("", _("All")), *Agent.Kind.choices])
    sort = forms.ChoiceField(
        label=_("Sorted by"),
        required=False,
        choices=[
            ("name", _("Name, from A")),
            ("-name", _("Name, from Z")),
            ("kind", _("Kind")),
            ("new", _("Newest first")),
        ],
    )


class AgentForm(DressedForm, forms.ModelForm):  # type: ignore[type-arg]
    """An agent. Saving is left to the action."""

    class Meta:
        model = Agent
        fields = ["name", "kind", "contact", "remarks"]
        widgets = {"contact": forms.Textarea(attrs={"rows": 3}), "remarks": forms.Textarea(attrs={"rows": 3})}


class NameForm(Form):
    """One more form of a name."""

    form = forms.CharField(
        label=_("Form of the name"),
        max_length=AgentName._meta.get_field("form").max_length,
        help_text=_(
            "As labels or papers write it. Case, blanks, full stops and “Family, Given” need no form of their own"
        ),
    )
