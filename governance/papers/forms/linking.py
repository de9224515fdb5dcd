"""What a paper is to be linked to, typed by number, one a line."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form, why_field
from governance.papers.actions.linking import Targets
from governance.papers.forms.lines import filled_lines
from governance.papers.queries.links import PART_MARK, Links
from governance.papers.queries.named_targets import NamedTargets

_MOST_NAMED = 8


def _numbers(label: Any, hint: Any) -> forms.CharField:
    return forms.CharField(
        label=label, help_text=hint, required=False, max_length=2_000_000, widget=forms.Textarea(attrs={"lines": 2})
    )


class LinkForm(Form):
    """Numbers that the register does not have are named, all at once."""

    accessions = _numbers(_("Accessions or parts"), _("One a line: LMN-2024-038, or LMN-2024-038/A for a part"))
    sites = _numbers(_("Sites"), _("One a line: its code, or its name if no other site bears it"))
    events = _numbers(_("Events"), _("One event number a line"))
    specimens = _numbers(_("Specimens"), _("One catalogue number a line; scan or paste as many as you like"))
    all_accessions = forms.BooleanField(label=_("Every accession, also those to come"), required=False)

    def clean(self) -> dict[str, Any]:
        """Under ``targets`` what was found."""
        told = super().clean() or {}
        value = {"reference": "", "covers": self._covers(told)}
        links, unknown = NamedTargets([value]).of(value)
        for lost in unknown:
            shown = ", ".join(lost.names[:_MOST_NAMED])
            more = len(lost.names) - _MOST_NAMED
            self.add_error(
                "accessions" if lost.kind == "parts" else lost.kind,
                _t("Not in the register: %(names)s%(more)s.")
                % {"names": shown, "more": _t(" and %(n)d more") % {"n": more} if more > 0 else ""},
            )
        told["targets"] = targets_of(links, all_accessions=bool(told.get("all_accessions")))
        return told

    @staticmethod
    def _covers(told: dict[str, Any]) -> dict[str, list[str]]:
        numbers = filled_lines(told.get("accessions") or "")
        return {
            "accessions": [number for number in numbers if PART_MARK not in number],
            "parts": [number for number in numbers if PART_MARK in number],
            **{kind: filled_lines(told.get(kind) or "") for kind in ("sites", "events", "specimens")},
        }


class LinkPageForm(LinkForm):
    """The same on its own page, with the boxes that were ticked and the reason."""

    why = why_field(required=False)
    picked = forms.MultipleChoiceField(required=False, widget=forms.MultipleHiddenInput)

    def __init__(self, *args: Any, choices: list[str], **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["picked"].choices = [(choice, choice) for choice in choices]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        """What was typed and what was ticked."""
        told = super().clean()
        typed: Targets = told["targets"]
        picked = _picked(told.get("picked") or [])
        told["targets"] = Targets(
            typed.all_accessions, *({*getattr(typed, kind), *picked.get(kind, ())} for kind in
                                    ("accessions", "parts", "sites", "events", "specimens"))
        )  # fmt: skip
        if not told["targets"] and not self.errors:
            self.add_error(None, _t("Tick or write what the paper is to be linked to."))
        return told


def _picked(choices: list[str]) -> dict[str, set[int]]:
    found: dict[str, set[int]] = {}
    for choice in choices:
        kind, _mark, key = choice.partition(":")
        found.setdefault(kind, set()).add(int(key))
    return found


def targets_of(links: Links, *, all_accessions: bool) -> Targets:
    """Found links as what is to be linked."""
    return Targets(
        all_accessions or links.all_accessions, links.accessions, links.parts, links.sites, links.events,
        links.specimens,
    )  # fmt: skip


class UnlinkForm(Form):
    """Which links are taken off, and why."""

    links = forms.TypedMultipleChoiceField(label=_("Links"), coerce=int, widget=forms.CheckboxSelectMultiple)
    why = why_field(required=True)

    def __init__(self, *args: Any, links: list[tuple[int, str]], **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["links"].choices = links  # type: ignore[attr-defined]
