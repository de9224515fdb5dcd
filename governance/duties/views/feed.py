"""The feed that calendar programs read. Nobody signs in: whoever knows the address is the person whose it is."""

from __future__ import annotations

from datetime import UTC

from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from governance.duties.actions.addresses import hash_of, note_reading
from governance.duties.calendar import duties_feed
from governance.duties.queries.listing import ahead_days
from governance.duties.queries.reminders import address_of_secret, calendar_lines
from governance.duties.site import site_name


@require_safe
def feed(request: HttpRequest, secret: str) -> HttpResponse:
    """The open duties behind a secret address, as far as its person may read them."""
    address = address_of_secret(hash_of(secret))
    if address is None:
        raise Http404(_("There is no such calendar."))
    today = timezone.localdate()
    found = calendar_lines(address, today, ahead_days())
    site = request.build_absolute_uri("/").rstrip("/")
    name = _("Fieldwrit: all duties") if address.is_all else _("Fieldwrit: my duties")
    data = duties_feed(
        found, name=name, now=timezone.now().astimezone(UTC), today=timezone.localdate(), site=site, host=site_name()
    )
    note_reading(address, today)
    answer = HttpResponse(data, content_type="text/calendar; charset=utf-8")
    answer["Content-Disposition"] = 'attachment; filename="duties.ics"'
    answer["Cache-Control"] = "private, no-store"
    answer["X-Robots-Tag"] = "noindex"
    return answer
