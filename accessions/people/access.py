"""Who may do what: one enum of verbs, one table of roles, one check.

Every view of the project passes through ``requires``; a sweep over all addresses proves it
(``tests/integration/test_access_sweep.py``).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from enum import StrEnum
from functools import wraps
from typing import Any, Concatenate, ParamSpec, TypeVar

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.db import models
from django.db.models import F
from django.http import HttpRequest, HttpResponseBase
from django.utils.translation import gettext_lazy as _

from accessions.people.models import Role, User

P = ParamSpec("P")


class Verb(StrEnum):
    """What somebody may do. A view asks for exactly one; a template asks ``{% if user|may:"link-papers" %}``."""

    READ = "read"
    EXPORT = "export"
    ENTER_FACTS = "enter-facts"
    REMOVE_SPECIMENS = "remove-specimens"
    PREPARE_INTAKE = "prepare-intake"
    COMMIT_INTAKE = "commit-intake"
    REGISTER_PAPERS = "register-papers"
    LINK_PAPERS = "link-papers"
    RECORD_SEARCHES = "record-searches"
    ATTACH_SCANS = "attach-scans"
    RESTRICT = "restrict"
    RELEASE_MATERIAL = "release-material"
    DECIDE = "decide"
    OVERRULE = "overrule"
    PLAN_TRIPS = "plan-trips"
    SIGN_OFF_PLANS = "sign-off-plans"
    TAKE_REQUESTS = "take-requests"
    APPROVE_USES = "approve-uses"
    RECORD_USES = "record-uses"
    KEEP_DUTIES = "keep-duties"
    WAIVE_DUTIES = "waive-duties"
    WRITE_REPORTS = "write-reports"
    ISSUE_REPORTS = "issue-reports"
    SHARE_REPORTS = "share-reports"
    KEEP_QUESTIONS = "keep-questions"
    KEEP_SEAL = "keep-seal"
    REVIEW_DECISIONS = "review-decisions"
    DISPOSE = "dispose"
    ASSESS = "assess"
    EDIT_SHEETS = "edit-sheets"
    EDIT_HOUSE_RULES = "edit-house-rules"
    MANAGE_PEOPLE = "manage-people"


DEEDS: dict[Verb, Any] = {
    Verb.READ: _("read everything in the register that is not restricted to others"),
    Verb.EXPORT: _("take lists and files out of the register"),
    Verb.ENTER_FACTS: _("enter and correct facts about specimens, events, sites and agents"),
    Verb.REMOVE_SPECIMENS: _("remove specimens from the register that were entered by mistake"),
    Verb.PREPARE_INTAKE: _("prepare files for intake"),
    Verb.COMMIT_INTAKE: _("take prepared files into the register"),
    Verb.REGISTER_PAPERS: _("register papers and what they allow"),
    Verb.LINK_PAPERS: _("link papers to what they speak for"),
    Verb.RECORD_SEARCHES: _("record searches for papers"),
    Verb.ATTACH_SCANS: _("add scans and file them"),
    Verb.RESTRICT: _("open or close papers and scans to roles"),
    Verb.RELEASE_MATERIAL: _("release deliveries from quarantine"),
    Verb.DECIDE: _("decide that a layer needs no paper, and record title"),
    Verb.OVERRULE: _("put a decision beside a computed verdict"),
    Verb.PLAN_TRIPS: _("plan trips and ask for the papers that they need"),
    Verb.SIGN_OFF_PLANS: _("sign off plans before anyone leaves"),
    Verb.TAKE_REQUESTS: _("take requests for material, scan what is asked for, and ask providers"),
    Verb.APPROVE_USES: _("decide which material may go"),
    Verb.RECORD_USES: _("record uses that were made, and what came back"),
    Verb.KEEP_DUTIES: _("keep duties, benefits and deposits"),
    Verb.WAIVE_DUTIES: _("waive duties"),
    Verb.WRITE_REPORTS: _("draft reports"),
    Verb.ISSUE_REPORTS: _("issue reports and record how they were sent"),
    Verb.SHARE_REPORTS: _("share pages with providers, authorities and landowners"),
    Verb.KEEP_QUESTIONS: _("save questions and follow their answers"),
    Verb.KEEP_SEAL: _("have the seal checked, and note where its heads are kept"),
    Verb.REVIEW_DECISIONS: _("review a decision that somebody else made"),
    Verb.DISPOSE: _("dispose of records after their day, and minimise the data of a person"),
    Verb.ASSESS: _("have verdicts worked out again"),
    Verb.EDIT_SHEETS: _("edit country sheets"),
    Verb.EDIT_HOUSE_RULES: _("edit the house rules"),
    Verb.MANAGE_PEOPLE: _("add people and give them roles"),
}
"""What each verb means on screens, after "may"."""

_LEGAL_WORK = {
    Verb.READ, Verb.EXPORT, Verb.ENTER_FACTS, Verb.PREPARE_INTAKE, Verb.COMMIT_INTAKE, Verb.REGISTER_PAPERS,
    Verb.LINK_PAPERS, Verb.RECORD_SEARCHES, Verb.ATTACH_SCANS, Verb.RELEASE_MATERIAL, Verb.ASSESS,
    Verb.PLAN_TRIPS, Verb.TAKE_REQUESTS, Verb.RECORD_USES, Verb.KEEP_DUTIES, Verb.WRITE_REPORTS, Verb.KEEP_QUESTIONS,
}  # fmt: skip

_DECISIONS = {
    Verb.DECIDE, Verb.OVERRULE, Verb.RESTRICT, Verb.APPROVE_USES, Verb.WAIVE_DUTIES, Verb.ISSUE_REPORTS,
    Verb.SHARE_REPORTS, Verb.KEEP_SEAL, Verb.REVIEW_DECISIONS,
}  # fmt: skip

VERBS_OF_ROLE: dict[str, frozenset[Verb]] = {
    Role.VOLUNTEER: frozenset({Verb.READ, Verb.ENTER_FACTS, Verb.PREPARE_INTAKE, Verb.TAKE_REQUESTS}),
    Role.CURATOR: frozenset(_LEGAL_WORK),
    Role.REGISTRAR: frozenset(_LEGAL_WORK | _DECISIONS | {Verb.EDIT_SHEETS, Verb.REMOVE_SPECIMENS}),
    Role.COMPLIANCE: frozenset(
        (_LEGAL_WORK - {Verb.ENTER_FACTS, Verb.PREPARE_INTAKE, Verb.COMMIT_INTAKE, Verb.RELEASE_MATERIAL})
        | _DECISIONS
        | {Verb.EDIT_SHEETS, Verb.EDIT_HOUSE_RULES, Verb.SIGN_OFF_PLANS, Verb.DISPOSE}
    ),
    Role.AUDITOR: frozenset({Verb.READ, Verb.EXPORT, Verb.KEEP_QUESTIONS, Verb.KEEP_SEAL}),
    Role.ADMINISTRATOR: frozenset(
        {
            Verb.READ,
            Verb.EXPORT,
            Verb.ASSESS,
            Verb.EDIT_SHEETS,
            Verb.EDIT_HOUSE_RULES,
            Verb.MANAGE_PEOPLE,
            Verb.KEEP_QUESTIONS,
            Verb.KEEP_SEAL,
        }
    ),
}
"""A volunteer types facts, prepares files and scans what is asked for, never changes a legal status; a curator links
papers, releases material and records uses; registrars and compliance decide; a registrar alone removes specimens, since
what is removed counts in no limit any more; an auditor reads all that is not
restricted and keeps questions and seal heads of their own, writes nothing of the register."""

EVERY_ROLE = 2 ** len(Role) - 1
"""Bits of all roles: what is not restricted."""


def role_bits(roles: Iterable[str]) -> int:
    """The bits of some roles, bit n for the role n of ``Role``, as columns ``restricted_to`` hold them."""
    order = list(Role)
    return sum(1 << order.index(Role(role)) for role in set(roles))


def roles_of_bits(bits: int) -> list[Role]:
    """The roles of some bits."""
    return [role for number, role in enumerate(Role) if bits >> number & 1]


def is_open_to(user: Any, bits: int) -> bool:
    """Whether a person of one of these roles, signed in and active."""
    if not getattr(user, "is_authenticated", False) or not user.is_active:
        return False
    return bool(bits & role_bits([user.role]))


Row = TypeVar("Row", bound=models.Model)


def rows_open_to(rows: models.QuerySet[Row], user: Any, column: str) -> models.QuerySet[Row]:
    """The rows whose column of role bits is open to a person: ``is_open_to`` as a condition of the query."""
    if not getattr(user, "is_authenticated", False) or not user.is_active:
        return rows.none()
    opened = F(column).bitand(role_bits([user.role]))  # type: ignore[attr-defined]  # every expression has it
    found: models.QuerySet[Row] = rows.alias(_opened=opened).filter(_opened__gt=0)  # type: ignore[assignment]
    return found


def may(user: Any, verb: Verb | str) -> bool:
    """Whether a person may do this. Nobody who is not signed in may do anything.

    Raises:
        ValueError: the verb is none of ``Verb``.
    """
    wanted = Verb(verb)
    if not getattr(user, "is_authenticated", False) or not user.is_active:
        return False
    return wanted in VERBS_OF_ROLE[user.role]


def roles_that_may(verb: Verb) -> list[Role]:
    """The roles that may do this, in the order of ``Role``."""
    return [role for role in Role if verb in VERBS_OF_ROLE[role]]


def roles_in_words() -> list[tuple[Any, list[Any]]]:
    """Each role with what it may do, for pages that explain the roles."""
    return [(role.label, deeds_of(role)) for role in Role]


def deeds_of(role: str) -> list[Any]:
    """What a role may do, in words."""
    return [words for verb, words in DEEDS.items() if verb in VERBS_OF_ROLE[role]]


def deeds_by_role() -> list[tuple[Any, list[bool]]]:
    """Each deed with whether each role may do it, in the order of ``Role``, for the page that compares them."""
    return [(words, [verb in VERBS_OF_ROLE[role] for role in Role]) for verb, words in DEEDS.items()]


class NotAllowedError(PermissionDenied):
    """An action was called for a person who may not do it. Its text is for that person to read."""


def check(user: Any, verb: Verb) -> None:
    """The same for actions: they check again, so that no page can forget it.

    Raises:
        NotAllowedError: the person may not do this; says which roles may.
    """
    if may(user, verb):
        return
    roles = ", ".join(str(role.label) for role in roles_that_may(verb))
    words = _("These roles may %(deed)s: %(roles)s.") % {"deed": DEEDS[verb], "roles": roles}
    if getattr(user, "is_authenticated", False):
        words = f"{words} {_('Your role is %(role)s.') % {'role': user.get_role_display()}}"
    raise NotAllowedError(words)


def person_of(request: HttpRequest) -> User:
    """The person who is signed in, for views that ``requires`` guards.

    Raises:
        NotAllowedError: nobody is signed in.
    """
    if not isinstance(request.user, User):
        raise NotAllowedError(_("Nobody is signed in."))
    return request.user


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
