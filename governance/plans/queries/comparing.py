"""One version of a plan held against others: the one before, the plan of now, or one that is asked for."""

from __future__ import annotations

from dataclasses import dataclass

from governance.plans.models import PlanSignOff, PlanVersion
from governance.plans.queries.contents import contents
from governance.plans.queries.differences import PlanDifference, differences
from governance.plans.queries.kept_versions import versions_of
from governance.plans.queries.signed import sign_offs


@dataclass(frozen=True)
class Compared:
    """What differs. others: all versions but this one, newest first, to choose from; before: None for the first.

    asked: the version that was asked for, None if none was; unknown: what was asked for and is no version.
    """

    version: PlanVersion
    others: tuple[PlanVersion, ...]
    before: PlanVersion | None
    since_before: tuple[PlanDifference, ...]
    since_then: tuple[PlanDifference, ...]
    is_newest: bool
    sign_offs: tuple[PlanSignOff, ...]
    asked: PlanVersion | None = None
    with_asked: tuple[PlanDifference, ...] = ()
    unknown: str = ""

    @property
    def after(self) -> PlanVersion | None:
        """The version that followed."""
        return next((one for one in reversed(self.others) if one.number > self.version.number), None)

    @property
    def first_shown(self) -> PlanVersion:
        """The older of the two that are compared on demand."""
        return min((self.version, self.asked or self.version), key=lambda one: one.number)

    @property
    def last_shown(self) -> PlanVersion:
        return max((self.version, self.asked or self.version), key=lambda one: one.number)


def compared(version: PlanVersion, asked: str = "") -> Compared:
    """Hold a version against the one before and against now; asked: number of another one, as it was typed."""
    others = tuple(versions_of(version.plan).exclude(pk=version.pk).defer("contents"))
    before = next((one for one in others if one.number < version.number), None)
    found = next((one for one in others if str(one.number) == asked.strip()), None)
    return Compared(
        version, others, before,
        differences(before.contents, version.contents) if before else (),
        differences(version.contents, contents(version.plan)),
        all(one.number < version.number for one in others),
        tuple(one for one in sign_offs(version.plan) if one.version_id == version.pk),
        found,
        _in_order(version, found) if found else (),
        "" if found else asked.strip()[:20],
    )  # fmt: skip


def _in_order(one: PlanVersion, other: PlanVersion) -> tuple[PlanDifference, ...]:
    """From the older to the newer, whichever page is open."""
    older, newer = sorted((one, other), key=lambda version: version.number)
    return differences(older.contents, newer.contents)
