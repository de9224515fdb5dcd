"""Papers that are open to some roles only: who may read one, the line that says so, and the rows of a list.

That a paper exists, its kind, its layers, the days on which it is in force, what it covers and what verdicts found by
it, everybody sees. Its parties, numbers, people, places, conditions, notes, scans and history are for its readers.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, TypeVar

from django.db import models
from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from accessions.people.access import EVERY_ROLE, NotAllowedError, is_open_to, roles_of_bits, rows_open_to
from accessions.people.models import Role
from accessions.people.wording import in_a_list
from governance.papers.models import Paper
from governance.scans.opened import note_opened

Row = TypeVar("Row", bound=models.Model)

_PLURALS = {
    Role.VOLUNTEER: gettext_lazy("volunteers"), Role.CURATOR: gettext_lazy("curators"),
    Role.REGISTRAR: gettext_lazy("registrars"), Role.COMPLIANCE: gettext_lazy("compliance officers"),
    Role.AUDITOR: gettext_lazy("auditors"), Role.ADMINISTRATOR: gettext_lazy("administrators"),
}  # fmt: skip


class RestrictedPaperError(NotAllowedError):
    """What is in the paper is not for this person. Its text is for that person to read."""


def is_restricted(paper: Paper) -> bool:
    """Whether some role may not read it."""
    return bool(paper.restricted_to != EVERY_ROLE)


def is_readable(paper: Paper, reader: Any) -> bool:
    """Whether a person may read what is in the paper."""
    return is_open_to(reader, paper.restricted_to)


def opens(paper: Paper, reader: Any) -> bool:
    """The same where what is in it is then shown or taken out: of a restricted paper it is noted who opened it."""
    if not is_readable(paper, reader):
        return False
    if is_restricted(paper):
        note_opened("paper", paper.pk)
    return True


def check_readable(paper: Paper, reader: Any) -> None:
    """Refuse who may not read the paper: views before they show it, actions before they change it.

    Raises:
        RestrictedPaperError: says who may.
    """
    if not opens(paper, reader):
        raise RestrictedPaperError(f"{paper.reference}: {restricted_words(paper.restricted_to)}")


def restricted_words(bits: int) -> str:
    """The one line that stands in place of the content."""
    return _("Restricted: open to %(roles)s. Ask one of them.") % {"roles": roles_in_a_list(bits)}


def roles_in_a_list(bits: int) -> str:
    """The roles of some bits in a sentence: "registrars and compliance officers"."""
    return in_a_list(str(_PLURALS[role]) for role in roles_of_bits(bits))


def readable(rows: models.QuerySet[Row], reader: Any, path: str = "") -> models.QuerySet[Row]:
    """The rows whose paper a person may read. path: from the row to its paper, such as ``version__paper__``."""
    return rows_open_to(rows, reader, f"{path}restricted_to")


def for_readers(view: Callable[..., HttpResponseBase]) -> Callable[..., HttpResponseBase]:
    """Views of one paper, below ``requires``: who may not read the paper ``pk`` gets the page that says who may."""

    @wraps(view)
    def guarded(request: HttpRequest, pk: int, *args: Any, **kwargs: Any) -> HttpResponseBase:
        check_readable(get_object_or_404(Paper.objects.only("reference", "restricted_to"), pk=pk), request.user)
        return view(request, pk, *args, **kwargs)

    return guarded
