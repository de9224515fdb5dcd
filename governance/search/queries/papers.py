"""Papers by their number and, for those who may read them, by their face; scans by name and by their words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from django.contrib.humanize.templatetags.humanize import intcomma
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.people.access import is_open_to
from governance.papers.models import Paper
from governance.papers.queries.listing import Wanted, narrowed
from governance.papers.restriction import is_readable, opens, restricted_words
from governance.scans.models import Scan
from governance.scans.queries.searching import open_to, scan_hits, scans_with
from governance.scans.reading.wanted import phrases
from governance.search.asked import Asked, ranked
from governance.search.queries.kinds import Hit, Matches, Why, of_ranked, why

_FACE = ("second_number", "issuer", "holder", "remarks")


def find_papers(asked: Asked, user: Any) -> Matches:
    """Papers. One that is not open to the person is found by its reference alone. One query."""
    found = ranked(_told(user), asked)
    address = f"{reverse('papers:papers')}?{urlencode({'q': asked.text})}"
    wanted = Wanted(timezone.localdate(), text=asked.text)
    return of_ranked(found, lambda keys: _papers(keys, asked, user), address, lambda: narrowed(wanted, user).count())


def _told(user: Any) -> Iterator[tuple[int, str, str]]:
    """The second number is a number of the paper, too: a row of its own, so that it is found closed up."""
    rows = Paper.objects.order_by("reference").values_list("pk", "reference", "restricted_to", *_FACE)
    for pk, reference, bits, *face in rows.iterator():
        yield pk, reference, " ".join(face) if is_open_to(user, bits) else ""


def _papers(keys: Sequence[int], asked: Asked, user: Any) -> list[Hit]:
    rows = Paper.objects.in_bulk(list(keys))
    return [_paper(one, asked, user) for key in keys if (one := rows.get(key))]


def _paper(one: Paper, asked: Asked, user: Any) -> Hit:
    address, kind = reverse("papers:paper", args=[one.pk]), str(one.get_kind_display())
    if not is_readable(one, user):
        return Hit(one.reference, address, kind, closed=restricted_words(one.restricted_to))
    fields = ((_("Second number"), one.second_number), (_("Given by"), one.issuer), (_("Held by"), one.holder),
              (_("Remarks"), one.remarks))  # fmt: skip
    if shown := why(asked, *fields):
        opens(one, user)
    return Hit(one.reference, address, kind, shown)


def find_scans(asked: Asked, user: Any) -> Matches:
    """Scans by the name of the file, of those alone that the person may open: a name may tell what is in it."""
    rows = open_to(user).order_by("-pk").values_list("pk", "original_name")
    found = ranked(((pk, name, "") for pk, name in rows.iterator()), asked)
    address = f"{reverse('scans:scans')}?{urlencode({'q': asked.text})}"
    return of_ranked(found, lambda keys: _scans(keys, asked), address,
                     lambda: open_to(user).filter(original_name__icontains=asked.text).count())  # fmt: skip


def _scans(keys: Sequence[int], asked: Asked) -> list[Hit]:
    rows = Scan.objects.in_bulk(list(keys))
    return [
        Hit(
            one.original_name, reverse("scans:scan", args=[one.pk]),
            _("received %(day)s") % {"day": date_format(timezone.localtime(one.received_at), "j M Y")},
        )
        for key in keys if (one := rows.get(key))
    ]  # fmt: skip


def find_words(asked: Asked, user: Any) -> Matches:
    """Scans that are open to the person and have a page with all the words: the search of that room."""
    wanted = phrases(asked.text)
    rows = scans_with(wanted, user)
    address = f"{reverse('scans:search')}?{urlencode({'q': asked.text})}"
    return Matches(rows, rows.count(), lambda some: _words(some, asked), list_address=address)


def _words(rows: Sequence[dict[str, int]], asked: Asked) -> list[Hit]:
    """The first page of each, with the words marked; its address opens that page. Of a restricted scan no words."""
    closed = _("Restricted: its words are not shown here. Who opens it is noted.")
    return [
        Hit(
            found.scan.original_name,
            found.pages[0].href if found.pages else reverse("scans:scan", args=[found.scan.pk]),
            ngettext("%(n)s page", "%(n)s pages", found.page_count) % {"n": intcomma(found.page_count)},
            [Why(_("Page %(n)s") % {"n": page.number}, page.pieces) for page in found.pages if page.pieces],
            closed=closed if found.is_restricted else "",
        )
        for found in scan_hits(list(rows), phrases(asked.text), 1)
    ]  # fmt: skip
