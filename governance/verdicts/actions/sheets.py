"""Country sheets: started, changed, checked; their rules added, ended and followed by others, never overwritten."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from typing import Any, Final

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import override

from accessions.material.touches import Scope, touch
from accessions.people.access import Verb, check
from accessions.people.editing import add, change
from accessions.people.history import remove
from governance.jurisdictions.codes import is_country
from governance.verdicts.models import CountrySheet, SheetRule
from governance.verdicts.queries.countries import TreatyFact, countries_of_material, treaty_facts

SHEET_FIELDS: Final = frozenset({"authority", "contact", "remarks"})
CORRECTABLE: Final = frozenset({"source", "lead_days"})
"""What may be put right in a rule without making it another rule."""


def start_sheet(country: str, *, by: Any, why: str, today: date) -> CountrySheet:
    """Start the sheet of a country ("": everywhere), with the facts of the dated data as remarks. No rule is made up.

    Raises:
        ValidationError: the code is no country, or it has a sheet.
    """
    check(by, Verb.EDIT_SHEETS)
    if country and not is_country(country):
        raise ValidationError({"country": _("“%(code)s” is no country of ISO 3166-1.") % {"code": country[:20]}})
    sheet = CountrySheet(country=country, remarks=_remarks(country, today))
    with transaction.atomic():
        add(sheet, by=by, why=why)
        touch(Scope.COUNTRY, [sheet.pk], by=by, why=why)
    return sheet


def start_sheets(*, by: Any, why: str, today: date) -> list[CountrySheet]:
    """Start a sheet for every country that has material and none. A sheet without rules still answers nothing."""
    check(by, Verb.EDIT_SHEETS)
    present = set(CountrySheet.objects.values_list("country", flat=True))
    wanted = [code for code in countries_of_material() if code not in present and is_country(code)]
    with transaction.atomic():
        return [start_sheet(code, by=by, why=why, today=today) for code in wanted]


def _remarks(country: str, today: date) -> str:
    """The facts we hold, each with its source and the day somebody looked; in English, whoever begins the sheet."""
    with override(settings.LANGUAGE_CODE):
        return "\n".join(_fact_words(fact) for fact in treaty_facts(country, today))


def _fact_words(fact: TreatyFact) -> str:
    return _("%(label)s: %(said)s (%(source)s; looked up %(day)s).") % {
        "label": fact.label,
        "said": fact.said,
        "source": _("from memory") if fact.from_memory else fact.source,
        "day": fact.checked_on.isoformat() if fact.checked_on else _("never"),
    }


def change_sheet(sheet: CountrySheet, *, by: Any, why: str, **values: Any) -> list[str]:
    """Change authority, contact or remarks. Returns the names of the fields that changed."""
    check(by, Verb.EDIT_SHEETS)
    with transaction.atomic():
        return change(sheet, values, editable=SHEET_FIELDS, by=by, why=why)


def stamp_sheet(sheet: CountrySheet, *, checked_by: str, checked_on: date, by: Any, why: str) -> list[str]:
    """Say who held the sheet against the law, and on which day.

    Raises:
        ValidationError: nobody is named.
    """
    check(by, Verb.EDIT_SHEETS)
    values = {"checked_by": checked_by, "checked_on": checked_on}
    with transaction.atomic():
        return change(sheet, values, editable=frozenset(values), by=by, why=why)


def add_rule(sheet: CountrySheet, *, by: Any, why: str, **values: Any) -> SheetRule:
    """Add a rule to a sheet.

    Raises:
        ValidationError: it has no source, its last day is before its first, or another rule of the layer holds on one
            of its days.
    """
    check(by, Verb.EDIT_SHEETS)
    rule = SheetRule(sheet=sheet, **values)
    with transaction.atomic():
        _lock(sheet.pk)
        refuse_overlap(rule)
        add(rule, by=by, why=why)
        touch(Scope.COUNTRY, [sheet.pk], by=by, why=why)
    return rule


def add_rules(sheet: CountrySheet, rules: Sequence[Mapping[str, Any]], *, by: Any, why: str) -> list[SheetRule]:
    """Add the rules of several layers, all or none.

    Raises:
        ValidationError: as ``add_rule``.
    """
    check(by, Verb.EDIT_SHEETS)
    with transaction.atomic():
        return [add_rule(sheet, by=by, why=why, **rule) for rule in rules]


def end_rule(rule: SheetRule, *, last_day: date, by: Any, why: str) -> None:
    """Give a rule its last day; it goes on holding for what was taken until then.

    Raises:
        ValidationError: the day is before the first day of the rule.
    """
    check(by, Verb.EDIT_SHEETS)
    with transaction.atomic():
        _lock(rule.sheet_id)
        if change(rule, {"to_on": last_day}, editable={"to_on"}, by=by, why=why):
            refuse_overlap(rule)
            touch(Scope.COUNTRY, [rule.sheet_id], by=by, why=why)


def follow_rule(rule: SheetRule, *, from_on: date, by: Any, why: str, **values: Any) -> SheetRule:
    """The law changed: the rule ends the day before, and another one begins. Both stay, each with its source.

    Raises:
        ValidationError: the new rule would begin on or before the first day of the old one, or has no source.
    """
    check(by, Verb.EDIT_SHEETS)
    if rule.from_on is not None and from_on <= rule.from_on:
        raise ValidationError({
            "from_on": _("The rule that it follows begins on %(day)s; this one begins later.")
            % {"day": date_format(rule.from_on, "j F Y")}
        })  # fmt: skip
    last = rule.to_on
    with transaction.atomic():
        end_rule(rule, last_day=from_on - timedelta(days=1), by=by, why=why)
        return add_rule(
            rule.sheet, layer=rule.layer, from_on=from_on, to_on=_later(last, from_on), by=by, why=why, **values
        )


def _later(last: date | None, from_on: date) -> date | None:
    return last if last is not None and last >= from_on else None


def correct_rule(rule: SheetRule, *, by: Any, why: str, **values: Any) -> list[str]:
    """Put the source or the lead time of a rule right."""
    check(by, Verb.EDIT_SHEETS)
    with transaction.atomic():
        changed = change(rule, values, editable=CORRECTABLE, by=by, why=why)
        if "source" in changed:
            touch(Scope.COUNTRY, [rule.sheet_id], by=by, why=why)
    return changed


def withdraw_rule(rule: SheetRule, *, by: Any, why: str) -> None:
    """Take away a rule that was never law, entered by mistake. Its history stays."""
    check(by, Verb.EDIT_SHEETS)
    with transaction.atomic():
        touch(Scope.COUNTRY, [rule.sheet_id], by=by, why=why)
        remove(rule, by=by, why=why)


def _lock(sheet: int) -> None:
    """One person at a time at the rules of a sheet: two rules that overlap are each sound alone."""
    CountrySheet.objects.select_for_update().get(pk=sheet)


def refuse_overlap(rule: SheetRule) -> None:
    """Raises: ValidationError: another rule of the layer holds on one of the days of this one."""
    first, last = rule.from_on or date.min, rule.to_on or date.max
    for other in SheetRule.objects.filter(sheet_id=rule.sheet_id, layer=rule.layer).exclude(pk=rule.pk):
        if (other.from_on or date.min) <= last and (other.to_on or date.max) >= first:
            raise ValidationError({
                "from_on": _(
                    "These days overlap with the rule from %(first)s to %(last)s. End that one first, or let this one "
                    "follow it."
                )
                % {"first": _day(other.from_on, _("the beginning")), "last": _day(other.to_on, _("now"))}
            })  # fmt: skip


def _day(day: date | None, instead: str) -> str:
    return date_format(day, "j F Y") if day else instead
