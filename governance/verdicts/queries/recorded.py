"""The facts of a specimen as written, and beside them what was read."""

from __future__ import annotations

from dataclasses import dataclass, replace

from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils.translation import gettext as _

from accessions.material.models import SamplingEvent, Specimen
from accessions.names.models import WrittenName
from governance.engine.tables import HouseRules
from governance.papers.measures import distance
from governance.verdicts.queries.tested_days import TestedDays


@dataclass(frozen=True)
class Fact:
    """A fact in words. read: what was read of it, where that says more; is_read: no where it says that nothing was."""

    label: str
    written: str
    read: str = ""
    is_read: bool = True


def facts_of(specimen: Specimen, days: TestedDays, house: HouseRules | None) -> list[Fact]:
    """The facts that a verdict rests on, in the order of a label."""
    event = specimen.event
    facts = [
        Fact(_("Collected"), days.collected.written or _("no date recorded"), _read_day(event, days),
             is_read=days.collected.is_read),
        Fact(_("Place"), _place(event), _read_position(event, house)),
        Fact(_("Method"), _listed(event.sampling_protocol)),
        Fact(_("People"), _listed(event.recorded_by)),
        Fact(_("Count"), _count(specimen), _read_count(specimen)),
        Fact(_("Left the country"), days.exported.written, days.exported.long if days.exported.is_read else ""),
        Fact(_("Arrived"), days.imported.written, days.imported.long if days.imported.is_read else ""),
        Fact(_("Changed hands"), days.transferred.written, days.transferred.long if days.transferred.is_read else ""),
        Fact(_("Remarks"), specimen.remarks),
    ]  # fmt: skip
    return [_without_echo(fact) for fact in facts if fact.written]


def _without_echo(fact: Fact) -> Fact:
    return replace(fact, read="") if fact.read == fact.written else fact


def _listed(text: str) -> str:
    return ", ".join(part.strip() for part in text.split("|")) or _("not recorded")


def _read_day(event: SamplingEvent, days: TestedDays) -> str:
    if days.collected.is_read:
        return days.collected.long
    return str(event.get_reading_display())


def _place(event: SamplingEvent) -> str:
    site = event.site
    names = [str(site) if site else event.site_name or event.location_id, event.locality, event.state_province]
    return ", ".join(dict.fromkeys(name for name in [*names, event.country_code] if name)) or _("not recorded")


def _read_position(event: SamplingEvent, house: HouseRules | None) -> str:
    """The point as it was read, in WGS84, and how well it is known."""
    if event.longitude_deg is None or event.latitude_deg is None:
        return _("no position that can be read")
    point = f"{abs(event.latitude_deg):.5g}° {'N' if event.latitude_deg >= 0 else 'S'} "
    point += f"{abs(event.longitude_deg):.6g}° {'E' if event.longitude_deg >= 0 else 'W'}"
    if event.radius_m:
        return f"{point} ±{distance(event.radius_m)}, WGS84"
    if house is not None and house.assumed_radius_m:
        return _("%(point)s, WGS84; uncertainty not recorded, ±%(radius)s assumed") % {
            "point": point, "radius": distance(house.assumed_radius_m),
        }  # fmt: skip
    return _("%(point)s, WGS84; uncertainty not recorded") % {"point": point}


def _count(specimen: Specimen) -> str:
    parts = [
        specimen.count_range or specimen.individual_count, specimen.unit, specimen.organism_quantity,
        _listed(specimen.life_stage) if specimen.life_stage else "", _listed(specimen.sex) if specimen.sex else "",
    ]  # fmt: skip
    return " ".join(part for part in parts if part) or _("not recorded")


def _read_count(specimen: Specimen) -> str:
    low, high = specimen.count_low, specimen.count_high
    if specimen.count_assumed:
        return _("one, assumed")
    if high is None:
        return _("%(low)d or more") % {"low": low}
    return intcomma(low) if low == high else _("%(low)d to %(high)d") % {"low": low, "high": high}


def written_columns(specimen: Specimen) -> list[tuple[str, str]]:
    """Every filled column as written, by its Darwin Core term: event first, then name, then the specimen's own."""
    rows = [(term, getattr(specimen.event, column)) for term, column in SamplingEvent.COLUMN_OF_TERM.items()]
    rows += [(term, getattr(specimen.name, column)) for term, column in WrittenName.COLUMN_OF_TERM.items()]
    own = {
        "individualCount": specimen.individual_count, "countRange": specimen.count_range, "unit": specimen.unit,
        "basisOfRecord": specimen.basis_of_record, "organismQuantity": specimen.organism_quantity,
        "sex": specimen.sex, "lifeStage": specimen.life_stage, "preparations": specimen.preparation,
        "occurrenceRemarks": specimen.remarks,
    }  # fmt: skip
    return [(term, text) for term, text in [*rows, *own.items()] if text]
