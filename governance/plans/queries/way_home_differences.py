"""The days of a delivery held against those of the way home that was planned."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from accessions.material.models import Delivery
from accessions.values import read_event_date
from governance.plans.models import Consignment
from governance.plans.queries.event_differences import Otherwise
from governance.plans.queries.what_matters import Subject

_DAYS: Final[dict[str, tuple[Subject, Promise]]] = {
    "exported_on": (Subject.EXPORT_DAY, gettext_lazy("left the country")),
    "imported_on": (Subject.IMPORT_DAY, gettext_lazy("arrived")),
    "transferred_on": (Subject.TRANSFER_DAY, gettext_lazy("changed hands")),
}


def way_home_differences(delivery: Delivery, homes: Sequence[Consignment]) -> list[Otherwise]:
    """What is otherwise than the nearest of some planned ways home; nothing where none was planned."""
    tried = [_differences(delivery, home) for home in homes]
    return min(tried, key=lambda found: sum(one.is_known for one in found), default=[])


def _differences(delivery: Delivery, home: Consignment) -> list[Otherwise]:
    found = []
    for name, (subject, verb) in _DAYS.items():
        planned, real = getattr(home, name), getattr(delivery, name)
        if not planned.strip() or planned.strip() == real.strip():
            continue
        found.append(_difference(subject, str(verb), planned.strip(), real.strip()))
    return found


def _difference(subject: Subject, verb: str, planned: str, real: str) -> Otherwise:
    words = {"what": verb, "real": real, "planned": planned}
    if not real:
        said = _("%(what)s: the day is not recorded, planned was %(planned)s")
        return Otherwise(subject, said % words, is_known=False)
    meant, was = read_event_date(planned), read_event_date(real)
    if None in (meant.earliest_day, meant.latest_day, was.earliest_day, was.latest_day):
        said = _("%(what)s on %(real)s, planned was %(planned)s: one of them cannot be read as days")
        return Otherwise(subject, said % words, is_known=False)
    gap = max((was.earliest_day or 0) - (meant.latest_day or 0), (meant.earliest_day or 0) - (was.latest_day or 0))
    if gap <= 0:
        said = _("%(what)s on %(real)s, planned was %(planned)s: they may be one day")
        return Otherwise(subject, said % words, is_known=False)
    later = (was.earliest_day or 0) > (meant.latest_day or 0)
    by = ngettext("%(n)s day later", "%(n)s days later", gap) if later else ngettext(
        "%(n)s day earlier", "%(n)s days earlier", gap
    )  # fmt: skip
    said = _("%(what)s on %(real)s, planned was %(planned)s: %(by)s") % {**words, "by": by % {"n": gap}}
    return Otherwise(subject, said)
