"""The history of an application as people read it, with papers, people and stops by their names."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _

from accessions.people.changes import Change, FieldChange, changes_of, newest_first
from accessions.people.models import User
from governance.papers.models import Paper
from governance.plans.models import Application, ApplicationScan, ApplicationStop, Stop


def history_of(application: Application) -> list[Change]:
    """Newest first. That files were added or taken off is told, their names are not: they may be restricted."""
    own = [_with_names(change) for change in changes_of(Application, called=_("Application"), id=application.pk)]
    files = changes_of(ApplicationScan, called=_("File"), application=application.pk)
    return newest_first(own, _of_stops(application), files)


def _of_stops(application: Application) -> list[Change]:
    """Which stops it was for; also those that are in the plan no more."""
    changes = changes_of(ApplicationStop, called=_("Stop"), application=application.pk)
    if not changes:
        return []
    rows = ApplicationStop.history.filter(application=application.pk).order_by("-history_date", "-history_id")
    keys = list(rows.values_list("stop_id", flat=True)[: len(changes)])
    names: dict[int, str] = dict(Stop.history.filter(id__in=keys).order_by("history_id").values_list("id", "name"))
    names |= dict(Stop.objects.filter(pk__in=keys).values_list("pk", "name"))
    return [
        dataclasses.replace(change, what=f"{change.what} {names.get(key, '')}".strip())
        for change, key in zip(changes, keys, strict=True)
    ]


def _with_names(change: Change) -> Change:
    found = {_label("paper"): _references, _label("assignee"): _people}
    fields = tuple(_named(one, found[one.label]) if one.label in found else one for one in change.fields)
    return dataclasses.replace(change, what=_("Application"), fields=fields)


def _label(name: str) -> str:
    return str(Application._meta.get_field(name).verbose_name)  # type: ignore[union-attr]  # both are columns


def _named(one: FieldChange, names: Any) -> FieldChange:
    keys = [key for key in (one.before, one.after) if key.isdigit()]
    found: Mapping[str, str] = names(keys)
    return dataclasses.replace(one, before=found.get(one.before, one.before), after=found.get(one.after, one.after))


def _references(keys: list[str]) -> dict[str, str]:
    return {str(pk): reference for pk, reference in Paper.objects.filter(pk__in=keys).values_list("pk", "reference")}


def _people(keys: list[str]) -> dict[str, str]:
    return {str(user.pk): user.shown_name for user in User.objects.filter(pk__in=keys)}
