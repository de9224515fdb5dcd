"""How many individuals were used before under a paper: asked only where a clause limits their number."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

from governance.engine.tables import NONE, UNBOUNDED
from governance.engine.uses import PaperTerms, Use, version_on
from governance.usedesk.models import UseItem
from governance.usedesk.queries.by_keys import rows_by_keys
from governance.usedesk.queries.holding import held
from governance.usedesk.queries.listed import NOT_ASKED
from governance.usedesk.questions import Facts


def used_before(
    papers: Sequence[PaperTerms], keys: Sequence[int], facts: Facts, asked: Sequence[int], beside: Iterable[int]
) -> dict[tuple[int, Use], int]:
    """By row of the paper and use, individuals that count against a limit beside those that are asked for.

    Args:
        keys: of the papers, row by row.
        beside: keys of specimens in the same basket that are not asked about now; they count as well.

    A specimen that is used twice counts once; of a count without bound the most is taken.
    """
    found: dict[tuple[int, Use], int] = {}
    most_by_use: dict[Use, dict[int, int]] = defaultdict(dict)
    for row, use, most in _limits(papers, facts):
        most_by_use[use][row] = most
    for use, most_of in most_by_use.items():
        others = sorted((set(_used(use)) | set(beside)) - set(asked))
        most_in_all = _individuals([*asked, *others]) if others else 0
        reachable = [row for row, most in most_of.items() if most_in_all > most]
        if reachable:
            most_under = held(others, NOT_ASKED).most_under()
            found.update({(row, use): most_under.get(keys[row], 0) for row in reachable})
    return found


def _limits(papers: Sequence[PaperTerms], facts: Facts) -> Iterator[tuple[int, Use, int]]:
    day = facts.day.toordinal()
    for row, paper in enumerate(papers):
        number = version_on(paper, day)
        terms = paper.versions[number].terms if number != NONE else {}
        for use in facts.uses:
            if use in terms and (most := terms[use].most_specimens) is not None:
                yield row, use, most


def _used(use: Use) -> list[int]:
    items = UseItem.objects.filter(use__use=int(use), use__voided_at__isnull=True).order_by()
    return list(items.values_list("specimen_id", flat=True).distinct())


def _individuals(specimens: Sequence[int]) -> int:
    """How many they are at most."""
    sql = f"SELECT COALESCE(SUM(COALESCE(count_high, {UNBOUNDED})), 0) FROM material_specimen WHERE id {{keys}}"
    ((total,),) = rows_by_keys(sql, specimens)
    return int(total)
