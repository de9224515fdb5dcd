"""When two verdicts are the same: all the same words, and measures within the tolerance of the contract."""

from __future__ import annotations

import math

from governance.engine.tables import Finding, LayerVerdict


def same_verdict(one: LayerVerdict, other: LayerVerdict) -> bool:
    """Equal verdict, papers, versions and codes; metres within 0.5 % or 1 m, 1 % beyond 100 km (section 4)."""
    return (
        (one.verdict, one.papers, one.versions) == (other.verdict, other.papers, other.versions)
        and len(one.findings) == len(other.findings)
        and all(same_finding(a, b) for a, b in zip(one.findings, other.findings, strict=True))
    )


def same_finding(one: Finding, other: Finding) -> bool:
    return (one.code, one.unit) == (other.code, other.unit) and all(
        _same_number(a, b, one.unit) for a, b in ((one.measure, other.measure), (one.against, other.against))
    )


def _same_number(one: float | None, other: float | None, unit: str) -> bool:
    if one is None or other is None:
        return one is other
    if unit == "m":
        share = 0.005 if max(abs(one), abs(other)) <= 100_000 else 0.01
        return math.isclose(one, other, rel_tol=share, abs_tol=1.0)
    return one == other
