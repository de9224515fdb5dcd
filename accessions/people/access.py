"""Who may do what: one enum of verbs, one table of roles, one check.

Every view of the project passes through ``requires``; a sweep over all addresses proves it
(``tests/integration/test_access_sweep.py``).
"""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum
from functools import wraps
from typing import Any, Concatenate, ParamSpec

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponseBase
from django.utils.translation import gettext_lazy as _

from accessions.people.models import Role

P = ParamSpec("P")


class Verb(StrEnum):
    """What somebody may do. A view asks for exactly one; a template asks ``{% if user|may:"link-papers" %}``."""

    READ = "read"
    EXPORT = "export"
    ENTER_FACTS = "enter-facts"
    PREPARE_INTAKE = "prepare-intake"
    COMMIT_INTAKE = "commit-intake"
    REGISTER_PAPERS = "register-papers"
    LINK_PAPERS = "link-papers"
    RECORD_SEARCHES = "record-searches"
    OVERRULE = "overrule"
    ASSESS = "assess"
    EDIT_SHEETS = "edit-sheets"
    EDIT_HOUSE_RULES = "edit-house-rules"
    MANAGE_PEOPLE = "manage-people"


_LEGAL_WORK = {
    Verb.READ, Verb.EXPORT, Verb.ENTER_FACTS, Verb.PREPARE_INTAKE, Verb.COMMIT_INTAKE, Verb.REGISTER_PAPERS,
    Verb.LINK_PAPERS, Verb.RECORD_SEARCHES, Verb.OVERRULE, Verb.ASSESS,
}  # fmt: skip

VERBS_OF_ROLE: dict[str, frozenset[Verb]] = {
    Role.VOLUNTEER: frozenset({Verb.READ, Verb.ENTER_FACTS, Verb.PREPARE_INTAKE}),
    Role.CURATOR: frozenset(_LEGAL_WORK),
    Role.REGISTRAR: frozenset(_LEGAL_WORK),
    Role.COMPLIANCE: frozenset(
        (_LEGAL_WORK - {Verb.ENTER_FACTS, Verb.PREPARE_INTAKE, Verb.COMMIT_INTAKE})
        | {Verb.EDIT_SHEETS, Verb.EDIT_HOUSE_RULES}
    ),
    Role.AUDITOR: frozenset({Verb.READ, Verb.EXPORT}),
    Role.ADMINISTRATOR: frozenset(
        {Verb.READ, Verb.EXPORT, Verb.ASSESS, Verb.EDIT_SHEETS, Verb.EDIT_HOUSE_RULES, Verb.MANAGE_PEOPLE}
    ),
}
"""A volunteer types facts and prepares files, never changes a legal status; an auditor reads all, writes nothing."""


def may(user: Any, verb: Verb | str) -> bool:
    """Whether a person may do this. Nobody who is not signed in may do anything.

    Raises:
        ValueError: the verb is none of ``Verb``.
    """
    wanted = Verb(verb)
    if not getattr(user, "is_authenticated", False) or not user.is_active:
        return False
    return wanted in VERBS_OF_ROLE[user.role]


class NotAllowedError(PermissionDenied):
    """An action was called for a person who may not do it."""


def check(user: Any, verb: Verb) -> None:
    """The same for actions: they check again, so that no page can forget it.

    Raises:
        NotAllowedError: the person may not do this.
    """
    if not may(user, verb):
        raise NotAllowedError(_("You may not do this. Ask a person whose role allows it."))


View = Callable[Concatenate[HttpRequest, P], HttpResponseBase]


def requires(verb: Verb) -> Callable[[View[P]], View[P]]:
    """Views: who is not signed in goes to the sign-in page; who may not gets the no-permission page (403)."""

    def decorate(view: View[P]) -> View[P]:
        @wraps(view)
        def guarded(request: HttpRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
            if not request.user.is_authenticated:
                return redirect_to_login(request.get_full_path())
            check(request.user, verb)
            return view(request, *args, **kwargs)

        guarded.required_verb = verb  # type: ignore[attr-defined]  # read by the sweep
        return guarded

    return decorate
