"""Which scans a person may open."""

from __future__ import annotations

from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from accessions.people.access import EVERY_ROLE, NotAllowedError, is_open_to, roles_of_bits
from governance.scans.models import Scan
from governance.scans.opened import note_opened


def may_open(user: Any, scan: Scan) -> bool:
    """Whether the scan is open to a role of the person."""
    return is_open_to(user, scan.open_to)


def opens(user: Any, scan: Scan) -> bool:
    """The same where what is in it is then shown or taken out: of a restricted scan it is noted who opened it."""
    if not may_open(user, scan):
        return False
    if scan.open_to != EVERY_ROLE:
        note_opened("scan", scan.pk)
    return True


def check_open(user: Any, scan: Scan) -> None:
    """The same for actions and files.

    Raises:
        NotAllowedError: it is open to other roles only; says to which.
    """
    if not opens(user, scan):
        raise NotAllowedError(closed_words(scan.open_to))


def disposed_words(scan: Scan) -> str:
    """What stands in place of a content that was disposed of."""
    day = date_format(scan.disposed_on, "j F Y") if scan.disposed_on else ""
    return _("Disposed of on %(day)s, after its day of keeping: its content is not kept any more.") % {"day": day}


def closed_words(open_to: int) -> str:
    """To whom something restricted is open, and what to do."""
    roles = ", ".join(str(role.label) for role in roles_of_bits(open_to))
    if not roles:
        return _(
            "Papers in it are restricted to different roles, so nobody can open it. A registrar can sort that out."
        )
    return _("It is restricted. These roles can open it: %(roles)s. Ask one of them.") % {"roles": roles}
