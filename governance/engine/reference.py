"""The twin of the engine: the contract of verdicts, one specimen at a time, slow and plain.

It reads in the order of the contract (sections 2, 3 and 7 here; 4 in ``reference_places``, 5 and 6 in
``reference_taxa``, the numbers of section 6 in ``reference_caps``) and shares only the tables with the engine. Where
the contract is silent, decision record 1 speaks.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from itertools import zip_longest

from governance.engine.reference_caps import Taken, numbers_reply
from governance.engine.reference_places import PlaceTest, grounds_of, joined_holds
from governance.engine.reference_taxa import (
    Answer,
    Classification,
    Reply,
    people_reply,
    reply,
    taxon_reply,
    words_reply,
)
from governance.engine.tables import (
    NONE,
    OPEN_END,
    OPEN_START,
    REMARKS,
    DateReading,
    EngineError,
    Finding,
    HouseRules,
    Layer,
    LayerVerdict,
    Material,
    MonthDay,
    Outlines,
    Paper,
    Requirements,
    Rule,
    SearchState,
    Verdict,
    Version,
)

__all__ = ["judge"]


def judge(
    material: Material,
    papers: Sequence[Paper],
    requirements: Requirements,
    outlines: Outlines,
    house: HouseRules,
    search_state: SearchState = SearchState.NOT_SEARCHED,
) -> list[dict[Layer, LayerVerdict]]:
    """The verdict of every layer for every specimen.

    Returns: one dict a specimen, in the order of the specimens, with the layers of ``requirements.layers``.
    Raises: EngineError if two versions of a paper start on one day.
    """
    for paper in papers:
        _check_starts(paper)
    docket = _Docket(material, papers, outlines, house)
    return [
        {layer: docket.verdict(specimen, layer, requirements, search_state) for layer in requirements.layers}
        for specimen in range(len(material.specimens))
    ]


def _check_starts(paper: Paper) -> None:
    starts = [version.from_day for version in paper.versions]
    if len(set(starts)) < len(starts):
        raise EngineError(f"{paper.reference}: two versions start on one day; give each its own in_force_from")


# ------------------------------------------------------------------------------------------------------ section 2


def tested_date(layer: Layer, kind: str) -> str:
    """Section 2: the column of ``Specimens`` whose day a paper of that kind is held against."""
    if layer == Layer.CITES:
        return "imported" if kind == "cites-import-permit" else "exported"
    return {Layer.EXPORT: "exported", Layer.IMPORT: "imported", Layer.TRANSFER: "transferred"}.get(layer, "date")


# ------------------------------------------------------------------------------------------------------ section 3

_FIRST_DAY, _LAST_DAY = date.min.toordinal(), date.max.toordinal()
_TEN_YEARS = 3653
"""Beyond the last day that a paper or a date names, ten years show all that closed seasons do, leap days included."""

_REASONS = ("revoked", "suspended", "closed-season", "between-versions", "before-start", "after-end")
_NO_DATE = {
    DateReading.MISSING: "date-missing",
    DateReading.UNREADABLE: "date-unreadable",
    DateReading.CONFLICT: "date-conflict",
}


@dataclass(frozen=True)
class When:
    """One date, read: the interval I = [first, last], both ends counted; none where ``reading`` gives none."""

    reading: DateReading
    qualified: bool
    first: int
    last: int

    @property
    def has_interval(self) -> bool:
        return self.reading in (DateReading.RUN, DateReading.VAGUE)

    @property
    def is_run(self) -> bool:
        return self.reading == DateReading.RUN and not self.qualified

    @property
    def is_open(self) -> bool:
        return bool(self.first <= OPEN_START or self.last >= OPEN_END)


@dataclass(frozen=True)
class Span:
    """A version with its first and last day: up to the day before the next one starts, whatever its own end."""

    version: Version
    first: int
    last: int

    @property
    def has_unknown_start(self) -> bool:
        return self.version.from_day is None


def spans_of(paper: Paper) -> list[Span]:
    """Section 3: versions in the order of their starts; each is superseded for good when the next one starts."""
    versions = sorted(paper.versions, key=_start)
    spans = []
    for version, following in zip_longest(versions, versions[1:]):
        own_end = int(OPEN_END) if version.to_day is None else version.to_day
        last = own_end if following is None else min(own_end, _start(following) - 1)
        spans.append(Span(version, _start(version), last))
    return spans


def _start(version: Version) -> int:
    return int(OPEN_START) if version.from_day is None else version.from_day


def in_season(day: int, season: tuple[MonthDay, MonthDay]) -> bool:
    """Section 3, closed seasons: both ends closed, may wrap over the new year.

    In a common year no day lies between 02-28 and 03-01, so that a start on 02-29 is 03-01 and an end on it 02-28.
    """
    start, end = season
    today = (date.fromordinal(day).month, date.fromordinal(day).day)
    return start <= today <= end if start <= end else today >= start or today <= end


class Validity:
    """V of one paper, asked day by day (section 3)."""

    def __init__(self, paper: Paper) -> None:
        self.paper = paper
        self.spans = spans_of(paper)
        self._nearest: dict[When, list[int]] = {}

    def span_of(self, day: int) -> Span | None:
        return next((span for span in self.spans if span.first <= day <= span.last), None)

    def reasons(self, day: int) -> set[str]:
        """Why the paper does not hold on that day; empty if it holds, or may hold (an unknown start)."""
        found = set()
        if self.paper.revoked_day is not None and day >= self.paper.revoked_day:
            found.add("revoked")
        if any(first <= day and (last is None or day <= last) for first, last in self.paper.suspensions):
            found.add("suspended")
        span = self.span_of(day)
        if span is None:
            found.add(self._reason_outside_spans(day))
        elif any(in_season(day, season) for season in span.version.closed_seasons):
            found.add("closed-season")
        return found

    def _reason_outside_spans(self, day: int) -> str:
        if day < self.spans[0].first:
            return "before-start"
        return "after-end" if day > self.spans[-1].last else "between-versions"

    def may_hold(self, day: int) -> bool:
        return not self.reasons(day)

    def holds(self, day: int) -> bool:
        span = self.span_of(day)
        return span is not None and not span.has_unknown_start and self.may_hold(day)

    def horizon(self, when: When) -> tuple[int, int]:
        """All days that can matter: those that the paper and the date name, and ten years around them."""
        named = [when.first, when.last, *(day for span in self.spans for day in (span.first, span.last))]
        named += [day for pair in self.paper.suspensions for day in pair if day is not None]
        named += [] if self.paper.revoked_day is None else [self.paper.revoked_day]
        finite = [day for day in named if OPEN_START < day < OPEN_END] or [date(2000, 1, 1).toordinal()]
        return max(_FIRST_DAY, min(finite) - _TEN_YEARS), min(_LAST_DAY, max(finite) + _TEN_YEARS)

    def days_of(self, when: When) -> range:
        """The days of I, an open one only as far as the horizon."""
        low, high = self.horizon(when)
        return range(max(low, when.first), min(high, when.last) + 1)

    def nearest(self, when: When) -> list[int]:
        """The valid days nearest to an interval that holds none: none, one, or two that are equally near."""
        if when not in self._nearest:
            self._nearest[when] = self._find_nearest(when)
        return self._nearest[when]

    def _find_nearest(self, when: When) -> list[int]:
        low, high = self.horizon(when)
        before = next((day for day in range(when.first - 1, low - 1, -1) if self.may_hold(day)), None)
        after = next((day for day in range(when.last + 1, high + 1) if self.may_hold(day)), None)
        found = [day for day in (before, after) if day is not None]
        least = min((_days_off(day, when) for day in found), default=0)
        return [day for day in found if _days_off(day, when) == least]


def _days_off(day: int, when: When) -> int:
    """Days from the nearest end of the interval to a day outside it."""
    return when.first - day if day < when.first else day - when.last


def date_reply(validity: Validity, when: When) -> Reply:
    """Section 3: the table of cases for the interval I."""
    if not when.has_interval:
        return reply(Answer.UNKNOWN, _NO_DATE[when.reading])
    days = validity.days_of(when)
    inside = [day for day in days if validity.may_hold(day)]
    if not inside:
        return _disjoint_reply(validity, when)
    if len(inside) < len(days):
        counts = _counts(inside, days, when)
        return (
            Reply(Answer.NO, (counts("straddles"),)) if when.is_run else Reply(Answer.UNKNOWN, (counts("date-vague"),))
        )
    if not all(validity.holds(day) for day in inside):
        return reply(Answer.UNKNOWN, "start-unknown")
    if when.qualified:
        return Reply(Answer.UNKNOWN, (_counts(inside, days, when)("date-vague"),))
    return reply(Answer.YES)


def _counts(inside: Sequence[int], days: range, when: When) -> Callable[[str], Finding]:
    """Days inside and days in all; blank where they have no end, which the last years of the horizon tell."""
    to_the_end = when.last >= OPEN_END and inside[-1] > days[-1] - _TEN_YEARS
    from_the_start = when.first <= OPEN_START and inside[0] < days[0] + _TEN_YEARS
    measure = None if to_the_end or from_the_start else len(inside)
    against = None if when.is_open else len(days)
    unit = "" if measure is None and against is None else "days"
    return lambda code: Finding(code, measure, against, unit)


def _disjoint_reply(validity: Validity, when: When) -> Reply:
    """No day of I is valid: days to the nearest valid day, and the first reason of the invalid day beside it."""
    nearest = validity.nearest(when)
    if not nearest:
        reasons = {reason for day in validity.days_of(when) for reason in validity.reasons(day)}
        return reply(Answer.NO, _first_reason(reasons))
    beside = [day + 1 if day < when.first else day - 1 for day in nearest]
    reasons = {reason for day in beside for reason in validity.reasons(day)}
    return Reply(Answer.NO, (Finding(_first_reason(reasons), _days_off(nearest[0], when), None, "days"),))


def _first_reason(reasons: set[str]) -> str:
    return next(reason for reason in _REASONS if reason in reasons)


def spans_touched(validity: Validity, when: When) -> list[Span]:
    """Section 3 and decision record 1: the versions that decide every other test."""
    spans = validity.spans
    if not when.has_interval:
        return spans
    touched = [span for span in spans if span.first <= when.last and when.first <= span.last]
    if touched:
        return touched
    nearest = [validity.span_of(day) for day in sorted(validity.nearest(when))[:1]]
    if nearest and nearest[0] is not None:
        return [nearest[0]]
    started = [span for span in spans if span.first <= when.first]
    return [started[-1]] if started else spans[:1]


def joined_over_versions(replies: Sequence[Reply], is_run: bool) -> Reply:
    """One test over all versions touched: a run takes the least favourable answer, any other date what all agree on."""
    if len(replies) == 1:
        return replies[0]
    answers = {r.answer for r in replies}
    if answers == {Answer.YES}:
        return Reply(Answer.YES, _remarks(finding for r in replies for finding in r.findings))
    if is_run or answers == {Answer.NO}:
        worst = max(answers)
        return next(r for r in replies if r.answer == worst)
    unknown = [r for r in replies if r.answer == Answer.UNKNOWN]
    findings = {finding.code: finding for r in reversed(unknown) for finding in reversed(r.findings)}
    in_order = dict.fromkeys(finding.code for r in unknown for finding in r.findings)
    one_reason = len(unknown) == len(replies) and len({r.findings[0].code for r in unknown}) == 1
    vague = () if one_reason else (Finding("version-vague"),)
    excess = unknown[0].excess if unknown else math.inf
    return Reply(Answer.UNKNOWN, (*(findings[code] for code in in_order), *vague), excess)


def _remarks(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Remarks, each once, in their order."""
    codes = {finding.code for finding in findings}
    return tuple(Finding(code) for code in REMARKS if code in codes)


# ------------------------------------------------------------------------------------------------------ section 7

_JOINED_IN_TIME = frozenset({"straddles", "date-vague", *_REASONS})
_JOINED_IN_AREA = frozenset({"area-edge", "exclusion-edge", "outside-area", "excluded-area", "at-sea"})
_MORE_THAN_ANY = math.inf


@dataclass(frozen=True)
class Hearing:
    """All tests of one paper for one specimen and layer, in their order, and the versions tested."""

    paper: int
    tests: dict[str, Reply]
    spans: tuple[Span, ...] = ()

    @property
    def version_days(self) -> tuple[int | None, ...]:
        return tuple(span.version.from_day for span in self.spans)

    @property
    def failed(self) -> list[str]:
        return [name for name, r in self.tests.items() if r.answer != Answer.YES]

    @property
    def result(self) -> Verdict:
        """Section 7.5: outside on any ``no``, straddles if the only one is a straddling date, else cannot tell."""
        refusals = [r for r in self.tests.values() if r.answer == Answer.NO]
        if not refusals:
            return Verdict.CANNOT_TELL
        return Verdict.STRADDLES if all(_is_straddling(r) for r in refusals) else Verdict.OUTSIDE

    @property
    def misses(self) -> list[float]:
        """By how much each failed test was missed, to the millimetre: less is noise and must not choose a paper."""
        return [round(_miss(name, self.tests[name]), 3) for name in self.failed]

    def fails_only(self, name: str) -> bool:
        return self.failed == [name]


def _is_straddling(r: Reply) -> bool:
    return r.answer == Answer.NO and r.findings[0].code == "straddles"


def _miss(name: str, r: Reply) -> float:
    """By how much a test was missed, to find the paper that came nearest; without a measure more than any."""
    first = r.findings[0]
    if name == "numbers":
        return r.excess
    if first.measure is None:
        return _MORE_THAN_ANY
    if name == "date" and first.code in ("straddles", "date-vague"):
        return _MORE_THAN_ANY if first.against is None else first.against - first.measure
    return -first.measure if first.code in ("excluded-area", "exclusion-edge") else first.measure


class _Docket:
    """The specimens and papers of one judgement, and what was found about them so far."""

    def __init__(self, material: Material, papers: Sequence[Paper], outlines: Outlines, house: HouseRules) -> None:
        self.material, self.papers, self.outlines, self.house = material, papers, outlines, house
        self.classification = Classification(material.taxa)
        self.validities = [Validity(paper) for paper in papers]
        self._replies: dict[tuple[str, int, int, int], Reply] = {}

    # -- what a specimen is -----------------------------------------------------------------------------------

    def when(self, specimen: int, column: str) -> When:
        dates, row = self.material.dates, int(getattr(self.material.specimens, column)[specimen])
        reading = DateReading(int(dates.reading[row]))
        return When(reading, bool(dates.qualified[row]), int(dates.earliest[row]), int(dates.latest[row]))

    def is_linked(self, specimen: int, paper: Paper) -> bool:
        """Section 7.2: linked to the specimen itself, to its accession, to its event, or to its site."""
        s, covers = self.material.specimens, paper.covers
        texts = (
            (self.material.accessions, int(s.accession[specimen]), covers.accessions),
            (self.material.events, int(s.event[specimen]), covers.events),
            (self.material.catalog_numbers, int(s.catalog[specimen]), covers.specimens),
        )
        by_text = any(row != NONE and table[row] in listed for table, row, listed in texts)
        sites = self.material.places.sites[int(s.place[specimen])]
        return covers.all_accessions or by_text or any(site in covers.sites for site in sites)

    # -- the tests of one paper --------------------------------------------------------------------------------

    def hearing(self, specimen: int, layer: Layer, number: int) -> Hearing:
        """Every test of one paper, over the versions that the tested day touches."""
        paper = self.papers[number]
        if not paper.versions:
            return Hearing(number, {"read": reply(Answer.UNKNOWN, "paper-unread")})
        s, m = self.material.specimens, self.material
        tests = {
            "date": self.date(specimen, layer, number),
            "place": self.place(specimen, layer, number),
            "taxon": self.taxon(specimen, layer, number),
        }
        methods, people = m.methods[int(s.methods[specimen])], m.people[int(s.people[specimen])]
        sexes, stages = m.sexes[int(s.sexes[specimen])], m.life_stages[int(s.life_stages[specimen])]
        of_version: dict[str, Callable[[Version], Reply]] = {
            "methods": lambda v: words_reply(methods, v.methods, "method"),
            "people": lambda v: people_reply(people, v, paper.holder),
            "sexes": lambda v: words_reply(sexes, v.sexes, "sex"),
            "life stages": lambda v: words_reply(stages, v.life_stages, "life-stage"),
            "numbers": lambda v: self.numbers(specimen, layer, number, v),
        }
        for name, test in of_version.items():
            tests[name] = self._over_versions(specimen, layer, number, test)
        return Hearing(number, tests, tuple(self._spans(specimen, layer, number)))

    def date(self, specimen: int, layer: Layer, number: int) -> Reply:
        row = int(getattr(self.material.specimens, tested_date(layer, self.papers[number].kind))[specimen])
        return self._once(
            ("date", row, layer, number),
            lambda: date_reply(self.validities[number], self._when_of(specimen, layer, number)),
        )

    def place(self, specimen: int, layer: Layer, number: int) -> Reply:
        return self._once(
            ("place", specimen, layer, number),
            lambda: self._over_versions(
                specimen, layer, number, lambda v: self.place_test(specimen, layer, number, v).reply()
            ),
        )

    def place_test(self, specimen: int, layer: Layer, number: int, version: Version) -> PlaceTest:
        grounds = grounds_of(version, self.papers[number].jurisdiction, layer)
        row = int(self.material.specimens.place[specimen])
        return PlaceTest(self.material.places, row, grounds, self.outlines, self.house)

    def taxon(self, specimen: int, layer: Layer, number: int) -> Reply:
        row = int(self.material.specimens.taxon[specimen])
        path, qualified = self.classification.paths[row], bool(self.material.taxa.qualified[row])
        return self._over_versions(
            specimen, layer, number, lambda v: taxon_reply(self.classification, path, qualified, v)
        )

    def numbers(self, specimen: int, layer: Layer, number: int, version: Version) -> Reply:
        """Section 6: the caps of one version, over all that is linked to the paper, under whichever version."""
        if not version.caps:
            return reply(Answer.YES)
        linked = [x for x in range(len(self.material.specimens)) if self.is_linked(x, self.papers[number])]
        taken = {x: self._taken(x, layer, number) for x in linked}
        return numbers_reply(taken[specimen], list(taken.values()), version.caps, self.classification)

    def _taken(self, specimen: int, layer: Layer, number: int) -> Taken:
        s, m = self.material.specimens, self.material
        when = self._when_of(specimen, layer, number)
        dated = self.date(specimen, layer, number)
        replies = [dated, self.place(specimen, layer, number), self.taxon(specimen, layer, number)]
        event = int(s.event[specimen])
        return Taken(
            number=specimen,
            path=self.classification.paths[int(s.taxon[specimen])],
            certain=all(r.answer == Answer.YES for r in replies),
            possible=all(r.answer != Answer.NO or _is_straddling(r) for r in replies),
            low=int(s.count_low[specimen]),
            high=int(s.count_high[specimen]),
            count_assumed=bool(s.count_assumed[specimen]),
            days=(when.first, when.last) if when.has_interval else None,
            years=_years_of(when),
            sites=tuple(m.places.sites[int(s.place[specimen])]),
            event="" if event == NONE else m.events[event],
        )

    def _when_of(self, specimen: int, layer: Layer, number: int) -> When:
        return self.when(specimen, tested_date(layer, self.papers[number].kind))

    def _spans(self, specimen: int, layer: Layer, number: int) -> list[Span]:
        return spans_touched(self.validities[number], self._when_of(specimen, layer, number))

    def _over_versions(self, specimen: int, layer: Layer, number: int, test: Callable[[Version], Reply]) -> Reply:
        replies = [test(span.version) for span in self._spans(specimen, layer, number)]
        return joined_over_versions(replies, self._when_of(specimen, layer, number).is_run)

    def _once(self, key: tuple[str, int, int, int], ask: Callable[[], Reply]) -> Reply:
        if key not in self._replies:
            self._replies[key] = ask()
        return self._replies[key]

    # -- the verdict of a layer --------------------------------------------------------------------------------

    def verdict(
        self, specimen: int, layer: Layer, requirements: Requirements, search_state: SearchState
    ) -> LayerVerdict:
        """Section 7, steps 1 to 6."""
        considered = [
            number
            for number, paper in enumerate(self.papers)
            if layer in paper.layers and self.is_linked(specimen, paper)
        ]
        hearings = [self.hearing(specimen, layer, number) for number in considered]
        covered = self._covered(specimen, layer, hearings)
        if covered is not None:
            return covered
        need = self._requirement(specimen, layer, requirements)
        if need == "not-required":
            return LayerVerdict(Verdict.NOT_REQUIRED)
        if need != "required":
            return LayerVerdict(Verdict.CANNOT_TELL, findings=(Finding(need),))
        if not hearings:
            return LayerVerdict(Verdict.MISSING, findings=(Finding(search_state.code),))
        nearest = _nearest(hearings)
        findings = tuple(f for name in nearest.failed for f in nearest.tests[name].findings)
        return LayerVerdict(nearest.result, (nearest.paper,), (nearest.version_days,), findings)

    def _covered(self, specimen: int, layer: Layer, hearings: Sequence[Hearing]) -> LayerVerdict | None:
        """Steps 3 and 4: one paper alone, else several joined in time, else several joined in area."""
        alone = next((hearing for hearing in hearings if not hearing.failed), None)
        if alone is not None:
            return _covered_by([alone], ())
        able = [h for h in hearings if self._joins_in_time(specimen, layer, h)]
        for when in dict.fromkeys(self._when_of(specimen, layer, h.paper) for h in able):
            of_one_date = [h for h in able if self._when_of(specimen, layer, h.paper) == when]
            in_time = _needed(of_one_date, partial(self._fill_the_days, when))
            if in_time:
                return _covered_by(in_time, ())
        in_area = [h for h in hearings if self._joins_in_area(specimen, layer, h)]
        in_area = _needed(in_area, lambda some: joined_holds([self._area_of(specimen, layer, h) for h in some]))
        remarks = [remark for h in in_area for remark in self._area_of(specimen, layer, h).remarks()]
        return _covered_by(in_area, remarks) if in_area else None

    def _joins_in_time(self, specimen: int, layer: Layer, hearing: Hearing) -> bool:
        """Every other test is yes; the start is known; the date is not missing, qualified or of unknown start."""
        if not hearing.fails_only("date") or hearing.tests["date"].findings[0].code not in _JOINED_IN_TIME:
            return False
        starts_known = not any(span.has_unknown_start for span in self.validities[hearing.paper].spans)
        return starts_known and not self._when_of(specimen, layer, hearing.paper).qualified

    def _fill_the_days(self, when: When, hearings: Sequence[Hearing]) -> bool:
        """Not one day of I is left that no paper holds."""
        validities = [self.validities[h.paper] for h in hearings]
        days = {day for validity in validities for day in (validity.days_of(when)[0], validity.days_of(when)[-1])}
        return all(any(validity.holds(day) for validity in validities) for day in range(min(days), max(days) + 1))

    def _joins_in_area(self, specimen: int, layer: Layer, hearing: Hearing) -> bool:
        """Every other test is yes; the versions tested list one and the same places; the area around S is known."""
        if not hearing.fails_only("place"):
            return False
        if any(finding.code not in _JOINED_IN_AREA for finding in hearing.tests["place"].findings):
            return False
        first, *others = [span.version for span in hearing.spans]
        same = all(
            v.include_places == first.include_places and v.exclude_places == first.exclude_places for v in others
        )
        test = self._area_of(specimen, layer, hearing)
        return same and test.has_coordinates and test.speaks_of_areas()

    def _area_of(self, specimen: int, layer: Layer, hearing: Hearing) -> PlaceTest:
        return self.place_test(specimen, layer, hearing.paper, hearing.spans[0].version)

    def _requirement(self, specimen: int, layer: Layer, requirements: Requirements) -> str:
        """Step 1: "required", "not-required", or the code of why it cannot be told."""
        row = int(self.material.specimens.accession[specimen])
        if row != NONE and (layer, self.material.accessions[row]) in requirements.decided:
            return "not-required"
        if requirements.rules is None:
            return "required"
        country = self.material.places.country[int(self.material.specimens.place[specimen])]
        rules = [rule for rule in requirements.rules if rule.layer == layer]
        if not country and any(rule.country for rule in rules):
            return "requirement-unknown"
        of_country = [rule for rule in rules if rule.country in ("", country)]
        when = self.when(specimen, tested_date(layer, ""))
        first, last = (when.first, when.last) if when.has_interval else (int(OPEN_START), int(OPEN_END))
        needs = {_need_on(day, of_country) for day in _days_that_matter(first, last, of_country)}
        return needs.pop() if len(needs) == 1 else "requirement-unknown"


def _days_that_matter(first: int, last: int, rules: Sequence[Rule]) -> Iterator[int]:
    """The first day, and every later one on which a rule starts or has just ended."""
    yield first
    for rule in rules:
        for day in (rule.from_day, None if rule.to_day is None else rule.to_day + 1):
            if day is not None and first < day <= last:
                yield day


def _need_on(day: int, rules: Sequence[Rule]) -> str:
    """What the rules in force on one day say; the country's own win over those for everywhere."""
    in_force = [r for r in rules if (r.from_day is None or r.from_day <= day) and (r.to_day is None or day <= r.to_day)]
    speaking = [r for r in in_force if r.country] or in_force
    if not speaking:
        return "no-rule"
    return "required" if any(r.required for r in speaking) else "not-required"


def _years_of(when: When) -> tuple[float, float]:
    """First and last calendar year of a date; every year where it gives none."""
    if not when.has_interval:
        return (-math.inf, math.inf)
    first = -math.inf if when.first <= OPEN_START else date.fromordinal(when.first).year
    last = math.inf if when.last >= OPEN_END else date.fromordinal(when.last).year
    return (first, last)


def _needed(hearings: Sequence[Hearing], covers: Callable[[Sequence[Hearing]], bool]) -> list[Hearing]:
    """The papers needed to cover together, in the order of the file; what can be spared is left out, the last first."""
    if len(hearings) < 2 or not covers(hearings):
        return []
    needed = list(hearings)
    for hearing in reversed(hearings):
        others = [other for other in needed if other is not hearing]
        if others and covers(others):
            needed = others
    return needed if len(needed) > 1 else []


def _covered_by(hearings: Sequence[Hearing], remarks: Iterable[Finding]) -> LayerVerdict:
    found = [f for h in hearings for r in h.tests.values() if r.answer == Answer.YES for f in r.findings]
    papers = tuple(hearing.paper for hearing in hearings)
    versions = tuple(hearing.version_days for hearing in hearings)
    return LayerVerdict(Verdict.COVERED, papers, versions, _remarks([*found, *remarks]))


def _nearest(hearings: Sequence[Hearing]) -> Hearing:
    """Step 5: best result, fewest tests that are not yes, then the first, unless another fails the same by less."""
    best = min((h.result, len(h.failed)) for h in hearings)
    nearest, *others = [h for h in hearings if (h.result, len(h.failed)) == best]
    for other in others:
        if other.failed == nearest.failed and other.misses < nearest.misses:
            nearest = other
    return nearest
