"""How long papers take and whom to ask, by the country sheets."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from governance.engine.tables import Layer
from governance.verdicts.models import CountrySheet, SheetRule


@dataclass(frozen=True)
class LeadTime:
    """days: None where no rule says how long it takes. authority, contact: "" where no sheet names one. source: of the
    rule that requires the layer. has_sheet: whether the country has a sheet at all."""

    country: str
    days: int | None = None
    authority: str = ""
    contact: str = ""
    source: str = ""
    has_sheet: bool = False


@dataclass(frozen=True)
class LeadTimes:
    """All sheets with their rules, read once."""

    sheets: Mapping[str, CountrySheet]
    rules: Mapping[tuple[str, int], tuple[SheetRule, ...]]

    def of(self, country: str, layer: Layer, day: date | None) -> LeadTime:
        """Of the rule that requires the layer on a day; the country's own rules win over those for everywhere.

        Several rules may require it while the day is not fixed: then the longest counts.
        """
        sheet = self.sheets.get(country)
        rule = self._rule(country, layer, day) or self._rule("", layer, day)
        return LeadTime(
            country, rule.lead_days if rule else None, sheet.authority if sheet else "", sheet.contact if sheet else "",
            rule.source if rule else "", sheet is not None and country != "",
        )  # fmt: skip

    def _rule(self, country: str, layer: Layer, day: date | None) -> SheetRule | None:
        found = [rule for rule in self.rules.get((country, layer), ()) if rule.required and _holds(rule, day)]
        return max(found, key=lambda rule: rule.lead_days or -1, default=None)


def _holds(rule: SheetRule, day: date | None) -> bool:
    if day is None:
        return rule.to_on is None
    return (rule.from_on is None or rule.from_on <= day) and (rule.to_on is None or day <= rule.to_on)


def lead_times() -> LeadTimes:
    """Two queries."""
    rules: dict[tuple[str, int], list[SheetRule]] = defaultdict(list)
    for rule in SheetRule.objects.select_related("sheet"):
        rules[rule.sheet.country, rule.layer].append(rule)
    sheets = {sheet.country: sheet for sheet in CountrySheet.objects.all()}
    return LeadTimes(sheets, {key: tuple(of) for key, of in rules.items()})
