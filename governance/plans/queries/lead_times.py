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
    """How long a paper takes, and who gives it.

    country: whose authority is asked. days: None where no rule says how long it takes. authority, contact: "" where no
    sheet names one. source: of the rule that says how long. has_sheet: whether that country has a sheet at all.
    """

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

    def of(self, country: str, layer: Layer, day: date | None, asked: str | None = None) -> LeadTime:
        """Of the rule that requires the layer on a day; the country's own rules win over those for everywhere.

        Several rules may require it while the day is not fixed: then the longest counts.

        Args:
            country: where material is taken; its sheet says what is required.
            asked: whose authority gives the paper, if that is another country: what its sheet says of the layer wins.
        """
        asked = country if asked is None else asked
        sheet = self.sheets.get(asked) if asked else None
        found = [self._rule(one, layer, day) for one in dict.fromkeys((asked or country, country, ""))]
        rules = [rule for rule in found if rule]
        rule = next((rule for rule in rules if rule.lead_days is not None), rules[0] if rules else None)
        return LeadTime(
            asked, rule.lead_days if rule else None, sheet.authority if sheet else "", sheet.contact if sheet else "",
            rule.source if rule else "", sheet is not None,
        )  # fmt: skip

    def _rule(self, country: str, layer: Layer, day: date | None) -> SheetRule | None:
        found = [rule for rule in self.rules.get((country, layer), ()) if rule.required and _holds(rule, day)]
        return max(found, key=lambda rule: -1 if rule.lead_days is None else rule.lead_days, default=None)


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
