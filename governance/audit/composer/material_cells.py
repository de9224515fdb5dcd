"""Cells of rows of material. What they need beside ``Standing`` is read once for a slice of rows."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils.translation import gettext as _

from accessions.material.models import Specimen
from governance.audit.asking import Cell
from governance.audit.composer.fields import Shown
from governance.audit.composer.telling import Ground
from governance.audit.questions.addresses import link, recipient_link, site_link
from governance.engine.tables import Layer
from governance.usedesk.models import UseItem
from governance.usedesk.queries.whereabouts import gone_of, out_of
from governance.verdicts.models import Standing
from governance.verdicts.shown_days import event_day
from governance.verdicts.standing_columns import strip_of


@dataclass(frozen=True)
class Beside:
    """What is read for a slice: specimens by key, and the items by which some are out or gone."""

    specimens: Mapping[int, Specimen] = field(default_factory=dict)
    out: Mapping[int, UseItem] = field(default_factory=dict)
    gone: Mapping[int, UseItem] = field(default_factory=dict)


def prepare(rows: Sequence[Standing], wanted: frozenset[str], _ground: Ground) -> Callable[[Any], Any]:
    """One query for what stands with specimens, two for where they are; none for what is not shown."""
    keys = [row.pk for row in rows]
    joined = ("accession__source", "event__site", "name", "part", "delivery")
    specimens = Specimen.objects.select_related(*joined).in_bulk(keys) if "specimen" in wanted else {}
    is_asked = "where" in wanted
    beside = Beside(specimens, out_of(keys) if is_asked else {}, gone_of(keys) if is_asked else {})
    return lambda _row: beside


def _specimen(shown: Shown) -> Specimen:
    found: Specimen = shown.more.specimens[shown.row.pk]
    return found


def number(shown: Shown) -> Cell:
    return link("specimen", shown.row.pk, shown.row.catalog_number or f"#{shown.row.pk}")


def name(shown: Shown) -> Cell:
    return str(_specimen(shown).name.shown)


def day(shown: Shown) -> Cell:
    return str(event_day(_specimen(shown).event))


def country(shown: Shown) -> Cell:
    return str(shown.row.country)


def site(shown: Shown) -> Cell:
    found = _specimen(shown).event.site
    return site_link(found) if found else ""


def locality(shown: Shown) -> Cell:
    event = _specimen(shown).event
    return event.locality or event.site_name


def collector(shown: Shown) -> Cell:
    return _specimen(shown).event.recorded_by


def method(shown: Shown) -> Cell:
    return _specimen(shown).event.sampling_protocol


def kind(shown: Shown) -> Cell:
    return str(_specimen(shown).get_kind_display())


def count(shown: Shown) -> Cell:
    """As it was read: "3", "300 to 500", "1 or more"; a number that was not written is not known."""
    found = _specimen(shown)
    if found.count_assumed:
        return _("not known")
    if found.count_high is None:
        return _("%(n)s or more") % {"n": intcomma(found.count_low)}
    if found.count_low == found.count_high:
        return intcomma(found.count_low)
    return _("%(low)s to %(high)s") % {"low": intcomma(found.count_low), "high": intcomma(found.count_high)}


def of_specimen(path: str) -> Callable[[Shown], Cell]:
    return lambda shown: str(getattr(_specimen(shown), path))


def accession(shown: Shown) -> Cell:
    return link("accession", shown.row.accession_key, shown.row.accession_number)


def part(shown: Shown) -> Cell:
    found = _specimen(shown).part
    return found.letter if found else ""


def accession_kind(shown: Shown) -> Cell:
    return str(_specimen(shown).accession.get_kind_display())


def source(shown: Shown) -> Cell:
    found = _specimen(shown).accession.source
    return link("agent", found.pk, found.name) if found else ""


def accession_received(shown: Shown) -> Cell:
    return _specimen(shown).accession.received_on


def arrived(shown: Shown) -> Cell:
    found = _specimen(shown).delivery
    return found.received_on if found else None


def strip(shown: Shown) -> Cell:
    return strip_of(shown.row.cells)


def worst(shown: Shown) -> Cell:
    return int(shown.row.worst)


def verdict_of(layer: Layer) -> Callable[[Shown], Cell]:
    return lambda shown: int(strip_of(shown.row.cells)[layer]) if shown.row.cells else None


def overruled(shown: Shown) -> Cell:
    return _("yes") if shown.row.is_overruled else ""


def where(shown: Shown) -> Cell:
    """Here, out or gone, with a link to the use by which."""
    left, out = shown.more.gone.get(shown.row.pk), shown.more.out.get(shown.row.pk)
    item = left or out
    if item is None:
        return _("here")
    return link("use", item.use_id, str(item.use.get_deed_display()))


def lent_to(shown: Shown) -> Cell:
    item = shown.more.out.get(shown.row.pk)
    return recipient_link(item.use.recipient) if item and item.use.recipient else ""
