"""Country sheets with what is known of a country beside: material that waits, treaties with their sources."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Count, Q
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from accessions.material.models import SamplingEvent
from accessions.people.changes import Change, changes_of, newest_first
from governance.engine.tables import Layer
from governance.jurisdictions.codes import is_country
from governance.jurisdictions.law_values import ExcludedTerritory, NagoyaState, NagoyaStatus
from governance.jurisdictions.loader import excluded_territories, nagoya_states, nagoya_status
from governance.papers.countries import country_name
from governance.verdicts.models import CountrySheet, OutcomeFinding, RulingLayer, SheetRule, Standing

STALE_AFTER = timedelta(days=365)
"""A sheet that nobody checked for so long is marked: law changes."""

NO_RULE = "no-rule"


@dataclass(frozen=True)
class LayerMark:
    """What is said of one layer of a country. said: required, not-required, dated (it depends on the day), everywhere
    (only the sheet for everywhere says it) or nothing."""

    layer: Layer
    said: str


@dataclass(frozen=True)
class ListedCountry:
    """One line of the list: a sheet, or a country with material and no sheet. code "" is everywhere."""

    code: str
    sheet: CountrySheet | None
    marks: tuple[LayerMark, ...]
    count: CountryCount
    is_stale: bool

    @property
    def specimens(self) -> int:
        return self.count.specimens

    @property
    def waiting(self) -> int:
        return self.count.waiting

    @property
    def name(self) -> str:
        return name_of(self.code)

    @property
    def ruled(self) -> int:
        """Layers of which anything is said."""
        return sum(mark.said != "nothing" for mark in self.marks)


def name_of(code: str) -> str:
    """The name of a country on screens."""
    return country_name(code) if code else _("Everywhere")


def listed_countries(today: date) -> list[ListedCountry]:
    """All sheets, and all countries with material: what waits for a rule first, then by name. Four queries."""
    sheets = {sheet.country: sheet for sheet in CountrySheet.objects.all()}
    rules = _rules_by_country()
    everywhere = {rule.layer for rule in rules.get("", [])}
    counts = counts_by_country()
    codes = {*sheets, *countries_of_material()}
    listed = [
        ListedCountry(
            code=code,
            sheet=sheets.get(code),
            marks=_marks(rules.get(code, []), everywhere if code else set()),
            count=counts.get(code, CountryCount()) if code else CountryCount(),
            is_stale=is_stale(sheets.get(code), today),
        )
        for code in codes
    ]
    return sorted(listed, key=lambda country: (country.code != "", -country.waiting, country.name))


def _rules_by_country() -> dict[str, list[SheetRule]]:
    found: dict[str, list[SheetRule]] = defaultdict(list)
    for rule in SheetRule.objects.select_related("sheet"):
        found[rule.sheet.country].append(rule)
    return found


def _marks(rules: Iterable[SheetRule], everywhere: set[int]) -> tuple[LayerMark, ...]:
    of_layer: dict[int, list[SheetRule]] = defaultdict(list)
    for rule in rules:
        of_layer[rule.layer].append(rule)
    return tuple(LayerMark(layer, _said(of_layer[layer], layer in everywhere)) for layer in Layer)


def _said(rules: list[SheetRule], is_everywhere: bool) -> str:
    if not rules:
        return "everywhere" if is_everywhere else "nothing"
    if len(rules) > 1 or rules[0].from_on or rules[0].to_on:
        return "dated"
    return "required" if rules[0].required else "not-required"


def is_stale(sheet: CountrySheet | None, today: date) -> bool:
    """Whether a sheet was never checked, or not within a year."""
    return sheet is not None and (sheet.checked_on is None or today - sheet.checked_on > STALE_AFTER)


@dataclass(frozen=True)
class CountryCount:
    """Specimens of a country that were judged, and those of them of which a layer has no rule."""

    specimens: int = 0
    waiting: int = 0


def counts_by_country(code: str | None = None) -> dict[str, CountryCount]:
    """Specimens by country ("": not known), of one country or all: one scan of the narrow table of standings."""
    outcomes = OutcomeFinding.objects.filter(code=NO_RULE).values("outcome")
    rulings = RulingLayer.objects.filter(outcome__in=outcomes).values("ruling")
    rows = Standing.objects.order_by() if code is None else Standing.objects.filter(country=code).order_by()
    counted = rows.values_list("country").annotate(Count("pk"), waiting=Count("pk", filter=Q(ruling__in=rulings)))
    return {country: CountryCount(specimens, waiting) for country, specimens, waiting in counted}


def countries_of_material() -> list[str]:
    """All countries in which something was taken, judged or not."""
    found = SamplingEvent.objects.exclude(country="").order_by("country").values_list("country", flat=True)
    return list(found.distinct())


@dataclass(frozen=True)
class LayerRules:
    """The rules of one layer, by their first day; everywhere: what the sheet for everywhere says of it."""

    layer: Layer
    rules: tuple[SheetRule, ...]
    everywhere: tuple[SheetRule, ...]


def rules_by_layer(sheet: CountrySheet) -> list[LayerRules]:
    """Nine layers, those without a rule too: one query."""
    own: dict[int, list[SheetRule]] = defaultdict(list)
    general: dict[int, list[SheetRule]] = defaultdict(list)
    wanted = {sheet.country, ""}
    for rule in SheetRule.objects.filter(sheet__country__in=wanted).select_related("sheet"):
        (own if rule.sheet_id == sheet.pk else general)[rule.layer].append(rule)
    return [LayerRules(layer, tuple(own[layer]), tuple(general[layer])) for layer in Layer]


@dataclass(frozen=True)
class TreatyFact:
    """One dated fact about a country, with where it stands and who looked when. from_memory: not looked up anywhere."""

    label: str
    said: str
    source: str
    checked_on: date | None
    from_memory: bool


def treaty_facts(code: str, today: date) -> list[TreatyFact]:
    """What the dated data say of a country: facts, no rules. Nothing is concluded from them."""
    if not is_country(code):
        return []
    standing = nagoya_status(code, today)
    state: NagoyaState | ExcludedTerritory | None = nagoya_states().get(code) or excluded_territories().get(code)
    facts = [
        TreatyFact(
            _label("nagoya"),
            _nagoya_words(standing.status, standing.since, state),
            standing.source,
            standing.checked_on,
            state is not None and not state.decides,
        )
    ]
    if isinstance(state, NagoyaState) and state.cbd_party_since is not None:
        facts.append(TreatyFact(_label("cbd"), _since(state.cbd_party_since), _CBD_SOURCE, state.checked_on,
                                code in _CBD_FROM_MEMORY))  # fmt: skip
    return facts


_CBD_SOURCE = "computed from the deposit dates of ECOLEX TRE-001148"
_CBD_FROM_MEMORY = frozenset({"BN", "TT"})
"""As the head of ``nagoya_parties.yaml`` says of ``cbd_party_since``."""


def _label(treaty: str) -> str:

    return {"nagoya": _("Nagoya Protocol"), "cbd": _("Convention on Biological Diversity")}[treaty]


def _since(day: date) -> str:

    return _("Party since %(day)s") % {"day": date_format(day, "j F Y")}


def _nagoya_words(status: NagoyaStatus, since: date | None, state: NagoyaState | ExcludedTerritory | None) -> str:

    if since is not None:
        return _since(since)
    if status == NagoyaStatus.PARTY:
        return _("Party; the day is not verified")
    if state is not None and state.not_party_until is not None:
        day = date_format(state.not_party_until, "j F Y")
        return _("No Party until %(day)s; nobody has looked for a later day") % {"day": day}
    if isinstance(state, NagoyaState) and state.listed.startswith("party"):
        return _("Party; the day was not found")
    return _("Not known: nobody has looked it up")


def changes_of_sheet(sheet: CountrySheet) -> list[Change]:
    """The history of a sheet and its rules."""
    return newest_first(changes_of(CountrySheet, id=sheet.pk), changes_of(SheetRule, _("rule"), sheet_id=sheet.pk))
