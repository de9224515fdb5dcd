"""What it would take to fill a cell of the legal file: one short line, from what is recorded and the country sheets."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.utils.formats import number_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.material.models import Accession
from governance.engine.tables import Layer, SearchState, Verdict
from governance.verdicts.models import CountrySheet, OutcomeFinding, Search, SheetRule
from governance.verdicts.queries.countries import name_of
from governance.verdicts.queries.file_material import Lot, RowKey
from governance.verdicts.reason_words import reason_words

_MOST_PEOPLE = 2


@dataclass(frozen=True)
class Sheets:
    """The sheets of the countries of the accession, "" for everywhere, and their rules by country and layer."""

    by_country: Mapping[str, CountrySheet]
    rules: Mapping[tuple[str, Layer], Sequence[SheetRule]]

    def has_rule(self, country: str, layer: Layer) -> bool:
        return bool(self.rules.get((country, layer)) or self.rules.get(("", layer)))

    def authority(self, country: str, layer: Layer) -> str:
        """Whom to ask: the authority of the sheet, with the longest lead time of the rules that require the layer."""
        sheet = self.by_country.get(country)
        if sheet is None or not sheet.authority:
            return ""
        days = max((rule.lead_days or 0 for rule in self.rules.get((country, layer), ()) if rule.required), default=0)
        place = f"{sheet.authority}, {name_of(country)}"
        if not days:
            return place
        return ngettext(
            "%(who)s (lead time %(n)d day)", "%(who)s (lead time %(n)d days)", days
        ) % {"who": place, "n": days}  # fmt: skip


def sheets_of(countries: Collection[str]) -> Sheets:
    """Two queries."""
    wanted = {*countries, ""}
    rules: dict[tuple[str, Layer], list[SheetRule]] = defaultdict(list)
    for rule in SheetRule.objects.filter(sheet__country__in=wanted).select_related("sheet"):
        rules[rule.sheet.country, Layer(rule.layer)].append(rule)
    sheets = {sheet.country: sheet for sheet in CountrySheet.objects.filter(country__in=wanted)}
    return Sheets(sheets, rules)


def keepers_of(accession: Accession, lots: Iterable[Lot]) -> str:
    """Whose files to search first: the source, and those who collected most, as their names are written."""
    collected: Counter[str] = Counter()
    for lot in lots:
        collected.update({name.strip(): lot.specimens for name in lot.people.split("|") if name.strip()})
    source = [accession.source.name] if accession.source else []
    by_number = sorted(collected, key=lambda name: (-collected[name], name))
    return ", ".join([*source, *(name for name in by_number if name not in source)][:_MOST_PEOPLE])


@dataclass(frozen=True)
class MainReason:
    """Why most of the specimens of a cell need a look: the code of the first finding, and how many have it."""

    code: str
    specimens: int


def main_reasons(rulings: Mapping[RowKey, Mapping[int, int]]) -> dict[tuple[RowKey, Layer], MainReason]:
    """By row and layer: one query. rulings: how many specimens of a row have each ruling."""
    keys = {ruling for counted in rulings.values() for ruling in counted}
    first = OutcomeFinding.objects.filter(
        position=0, outcome__verdict__gte=Verdict.CANNOT_TELL, outcome__rulings__ruling__in=keys
    ).order_by()
    of_ruling: dict[int, list[tuple[Layer, str]]] = defaultdict(list)
    for ruling, layer, code in first.values_list("outcome__rulings__ruling", "outcome__layer", "code"):
        of_ruling[ruling].append((Layer(layer), code))
    counts: dict[tuple[RowKey, Layer], Counter[str]] = defaultdict(Counter)
    for row, counted in rulings.items():
        for ruling, number in counted.items():
            for layer, code in of_ruling.get(ruling, ()):
                counts[row, layer][code] += number
    return {where: MainReason(*codes.most_common(1)[0]) for where, codes in counts.items()}


@dataclass(frozen=True)
class Want:
    """What a cell that needs a look is about. open_specimens: those that need it."""

    layer: Layer
    verdict: Verdict
    open_specimens: int
    countries: tuple[str, ...]
    search: Search | None
    has_unread: bool
    reason: MainReason | None


def fill_words(want: Want, sheets: Sheets, keepers: str) -> str:
    """The shortest way on."""
    if want.verdict == Verdict.MISSING:
        return _missing_words(want, sheets, keepers)
    if want.has_unread:
        return _("Read the paper: write down what it allows.")
    silent = [country for country in want.countries if not sheets.has_rule(country, want.layer)]
    if want.verdict == Verdict.CANNOT_TELL and silent:
        return _silent_words(silent, sheets)
    return _reason_words(want)


def _reason_words(want: Want) -> str:
    if want.reason is None or not want.reason.code:
        return str(_("Open the specimens and see what is not settled."))
    if want.open_specimens == 1:
        return _("%(reason)s: open the specimen and see how to settle it.") % {
            "reason": reason_words(want.reason.code)
        }  # fmt: skip
    return _("%(reason)s (%(n)s of %(open)s): open them and see how to settle it.") % {
        "reason": reason_words(want.reason.code), "n": _counted(want.reason.specimens),
        "open": _counted(want.open_specimens),
    }  # fmt: skip


def _counted(number: int) -> str:
    return str(number_format(number, force_grouping=True))


def _silent_words(countries: Sequence[str], sheets: Sheets) -> str:
    named = [country for country in countries if country]
    if not named:
        return _("No country is recorded for the specimens: record it first.")
    words = ", ".join(name_of(country) for country in named)
    if all(country in sheets.by_country for country in named):
        return _("The country sheet says nothing of this layer (%(countries)s): add a rule.") % {"countries": words}
    return _("There is no country sheet yet (%(countries)s): start one.") % {"countries": words}


def _missing_words(want: Want, sheets: Sheets, keepers: str) -> str:
    asked = [words for country in want.countries if (words := sheets.authority(country, want.layer))]
    authority = "; ".join(asked) or _("the authority (no name is on the country sheet)")
    state = SearchState(want.search.state) if want.search else SearchState.NOT_SEARCHED
    if state == SearchState.NONE_FOUND:
        return _("Ask %(authority)s; or decide, on evidence, that none was needed.") % {"authority": authority}
    if state == SearchState.KNOWN_NOT_LOCATED:
        return _("Ask %(authority)s for a copy.") % {"authority": authority}
    if keepers:
        return _("Search the files of %(people)s, or ask %(authority)s.") % {
            "people": keepers, "authority": authority,
        }  # fmt: skip
    return _("Search the old files, or ask %(authority)s.") % {"authority": authority}
