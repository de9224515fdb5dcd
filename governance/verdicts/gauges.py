"""The gauge beside a finding, in percent: what a paper allows as a bar, its edge, and where the specimen stands.

Metres and individuals are to scale on both sides of the edge, and the bar runs out of the drawing where it is longer.
Days show the side of the edge only: a paper holds for a year or ten, and what matters is how many days are missing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from governance.engine.tables import Finding
from governance.papers.measures import distance, quantity
from governance.verdicts.settling import lacks_paper, says_no

_DAYS_AFTER = frozenset({"after-end", "revoked"})
_DAYS_BETWEEN = frozenset({"suspended", "closed-season", "between-versions"})
_PART_OF_DAYS = frozenset({"straddles", "date-vague"})
_EXCLUSIONS = frozenset({"excluded-area", "exclusion-edge"})
_NO_RADIUS = frozenset({"at-sea"})
"""What ``at-sea`` was held against is no radius but how far the waters of a state may reach."""

_MARGIN = 5.0


@dataclass(frozen=True)
class Text:
    """Words below the gauge. style: ``e`` ends there, ``m`` is centred; ``strong`` for the specimen's own."""

    text: str
    x: float
    style: str = ""


@dataclass(frozen=True)
class Gauge:
    """Places in percent. terms, excluded, reach, whisk: left and width; edges: lines; dot: None for none."""

    terms: Sequence[tuple[float, float]] = ()
    excluded: Sequence[tuple[float, float]] = ()
    edges: Sequence[float] = ()
    reach: tuple[float, float] | None = None
    whisk: tuple[float, float] | None = None
    dot: float | None = None
    texts: Sequence[Text] = field(default=())

    @property
    def label(self) -> str:
        """The words of the drawing, for those who do not see it."""
        return "; ".join(text.text for text in self.texts)


def gauge_of(finding: Finding, *, edge: str = "", specimen: str = "") -> Gauge:
    """The gauge of a finding.

    Args:
        finding: its measure and what it was held against.
        edge: words at the edge, such as the last day of the paper; specimen: words at the dot, such as the day.
    """
    measure, code = finding.measure, finding.code
    if measure is None or not finding.unit:
        return _without_measure(code, specimen)
    if code in _PART_OF_DAYS:
        return _part_of_days(measure, finding.against, specimen)
    if finding.unit == "days":
        return _days_off(code, measure, edge, specimen)
    if finding.unit == "m":
        radius_m = 0.0 if code in _NO_RADIUS else finding.against or 0.0
        return _metres(measure, radius_m, excluded=code in _EXCLUSIONS)
    return _individuals(measure, finding.against or 0.0, certain=says_no(code))


def _without_measure(code: str, specimen: str) -> Gauge:
    """No frame where there is no paper; beside the frame for no; in a broken frame for what cannot be told."""
    if lacks_paper(code):
        return Gauge(dot=50, texts=_words((specimen, 50, "strong m")))
    if code in _EXCLUSIONS:
        return Gauge(excluded=[(26, 48)], edges=[26, 74], dot=50, texts=_words((specimen, 50, "strong m")))
    if says_no(code):
        return Gauge(terms=[(0, 56)], edges=[56], reach=(56, 76), dot=78, texts=_words((specimen, 78, "strong m")))
    return Gauge(whisk=(0.5, 99), dot=50, texts=_words((specimen, 50, "strong m")))


def _days_off(code: str, days: float, edge: str, specimen: str) -> Gauge:
    """The days between the edge and the specimen take a quarter; the bar runs out of the drawing."""
    dot_day = specimen or quantity(abs(days), "days")
    if code in _DAYS_BETWEEN:
        return Gauge(terms=[(0, 30), (76, 24)], edges=[30, 76], reach=(30, 53), dot=53,
                     texts=_words((dot_day, 53, "strong m")))  # fmt: skip
    if code in _DAYS_AFTER:
        return Gauge(terms=[(0, 52)], edges=[52], reach=(52, 76), dot=76,
                     texts=_words((edge, 52, "e"), (dot_day, 78, "strong m")))  # fmt: skip
    return Gauge(terms=[(48, 52)], edges=[48], reach=(24, 48), dot=24,
                 texts=_words((dot_day, 22, "strong m"), (edge, 49, "")))  # fmt: skip


def _part_of_days(inside: float, in_all: float | None, specimen: str) -> Gauge:
    """The days that the specimen may be of, and how many of them were valid."""
    share = 0.5 if not in_all else min(max(inside / in_all, 0.0), 1.0)
    width = round((100 - 2 * _MARGIN) * share, 1)
    words = f"{inside:.0f} / {in_all:.0f}" if in_all else f"{inside:.0f}"
    return Gauge(
        terms=[(0, _MARGIN + width)], edges=[_MARGIN + width], whisk=(_MARGIN, 100 - 2 * _MARGIN),
        texts=_words((words, _MARGIN, ""), (specimen, 100 - _MARGIN, "strong e")),
    )  # fmt: skip


def _metres(signed_m: float, radius_m: float, *, excluded: bool) -> Gauge:
    """An edge, inside on its left; the point at its distance, with the reach of its radius.

    A negative measure is inside. For an excluded place the bar is what is excluded.
    """
    span = abs(signed_m) + radius_m or 1.0
    low, high = min(-0.45 * span, signed_m - radius_m), max(0.3 * span, signed_m + radius_m)
    scale = (100 - 2 * _MARGIN) / (high - low)

    def x(metres: float) -> float:
        return round(_MARGIN + (metres - low) * scale, 1)

    bar = [(0.0, x(0))]
    words = distance(abs(signed_m)) + (f" ± {distance(radius_m)}" if radius_m else "")
    return Gauge(
        terms=[] if excluded else bar,
        excluded=bar if excluded else [],
        edges=[x(0)],
        reach=(x(0), x(signed_m)),
        whisk=(x(signed_m - radius_m), round(2 * radius_m * scale, 1)) if radius_m else None,
        dot=x(signed_m),
        texts=_words((words, min(max(x(signed_m), 22), 78), "strong m")),
    )


def _individuals(counted: float, limit: float, *, certain: bool) -> Gauge:
    """A bar up to the limit; the dot is the number counted, or how many it may have been at most."""
    scale = (100 - 2 * _MARGIN) / max(counted, limit, 1.0)
    edge, dot = round(_MARGIN + limit * scale, 1), round(_MARGIN + counted * scale, 1)
    return Gauge(
        terms=[(0, edge)],
        edges=[edge],
        reach=(edge, dot),
        whisk=None if certain or counted <= limit else (edge, round(dot - edge, 1)),
        dot=dot,
        texts=_words((f"{limit:.0f}", min(edge, 60), "e"), (f"{counted:.0f}", min(dot, 90), "strong m")),
    )


def _words(*texts: tuple[str, float, str]) -> list[Text]:
    return [Text(*text) for text in texts if text[0]]
