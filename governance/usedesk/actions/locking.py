"""A request held still while it is changed: two people at one request do not lose each other's work."""

from __future__ import annotations

from django.utils.translation import gettext as _

from governance.usedesk.actions.errors import DeskError
from governance.usedesk.models import UseRequest


def held(request: UseRequest, *, even_answered: bool = False, even_closed: bool = False) -> UseRequest:
    """The request as it is now, locked until the transaction ends; every change of it begins with this.

    Raises:
        DeskError: it is closed, or answered, and this is no change for such a request.
    """
    rows = UseRequest.objects.select_for_update(of=("self",)).select_related("recipient")
    current = rows.get(pk=request.pk)
    if current.closed_at is not None and not even_closed:
        raise DeskError(
            _("%(number)s is closed. Take it up again first, then change it.") % {"number": current.reference}
        )
    if current.answered_at is not None and not even_answered and not even_closed:
        raise DeskError(
            _("%(number)s is answered. Take the answer back first, then change it.") % {"number": current.reference}
        )
    return current
