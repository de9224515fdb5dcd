"""Is the layer required of this specimen, by the rules in force on the day? (VERDICTS section 7.1)"""

from __future__ import annotations

from collections.abc import Sequence
from enum import IntEnum

from governance.engine.dates import Interval, subtract
from governance.engine.tables import OPEN_END, OPEN_START, Layer, Requirements, Rule

_START, _END = int(OPEN_START), int(OPEN_END)


class Required(IntEnum):
    """Whether a layer is required; UNKNOWN and NO_RULE are two ways of not being able to tell.

    UNKNOWN: the country or the day decides and is not known. NO_RULE: no rule says anything of the layer there.
    """

    YES = 0
    NOT_REQUIRED = 1
    UNKNOWN = 2
    NO_RULE = 3


def requirement(requirements: Requirements, layer: Layer, country: str, day: Interval | None) -> Required:
    """Whether the layer is required in a country on every day of an interval (VERDICTS section 7.1).

    Args:
        requirements: the rules; without rules every layer is required everywhere.
        layer: the layer asked about.
        country: ISO 3166-1 alpha-2; "" where it is not known.
        day: first and last day, both counted; None where no day is known.

    >>> rules = Requirements((Layer.EXPORT,), (Rule(Layer.EXPORT, True, "Act 1", "CR", from_day=100),))
    >>> [requirement(rules, Layer.EXPORT, "CR", days).name for days in ((100, 100), (99, 100), (1, 2), None)]
    ['YES', 'UNKNOWN', 'NO_RULE', 'UNKNOWN']
    >>> requirement(rules, Layer.EXPORT, "", (100, 100)).name, requirement(rules, Layer.LAND, "CR", (1, 1)).name
    ('UNKNOWN', 'NO_RULE')
    """
    if requirements.rules is None:
        return Required.YES
    rules = [rule for rule in requirements.rules if rule.layer == layer]
    if not country:
        named = {rule.country for rule in rules}
        return _in_force([], rules, day) if named == {""} else _unknown_or_none(rules)
    own = [rule for rule in rules if rule.country == country]
    return _in_force(own, [rule for rule in rules if not rule.country], day)


def sources(requirements: Requirements, layer: Layer, country: str, day: Interval | None) -> tuple[str, ...]:
    """The sources of the rules by which a layer is not required; none where the rules do not say that.

    Args:
        requirements, layer, country, day: as for ``requirement``.

    >>> everywhere, own = (Rule(Layer.EXPORT, False, text, code) for text, code in (("Custom", ""), ("Act 1", "CR")))
    >>> rules = Requirements((Layer.EXPORT,), (everywhere, own))
    >>> [sources(rules, Layer.EXPORT, country, (1, 1)) for country in ("CR", "SE")]
    [('Act 1',), ('Custom',)]
    """
    if requirement(requirements, layer, country, day) != Required.NOT_REQUIRED:
        return ()
    rules = [rule for rule in requirements.rules or () if rule.layer == layer]
    asked, found = [day or (_START, _END)], []
    for some in ([rule for rule in rules if country and rule.country == country],
                 [rule for rule in rules if not rule.country]):  # fmt: skip
        speaking = [rule for rule in some if subtract(asked, [_days(rule)]) != asked]
        found += [rule.source for rule in speaking]
        asked = subtract(asked, [_days(rule) for rule in speaking])
    return tuple(dict.fromkeys(found))


def _unknown_or_none(rules: Sequence[Rule]) -> Required:
    """Without a country: some rule may speak of it, if there is one."""
    return Required.UNKNOWN if rules else Required.NO_RULE


def _in_force(own: Sequence[Rule], general: Sequence[Rule], day: Interval | None) -> Required:
    """The country's own rules decide its days, the general ones the rest; where two speak of one day, required wins."""
    interval = day or (_START, _END)
    asked, is_free = [interval], False
    is_required = False
    for rules in (own, general):
        for required in (True, False):
            left = subtract(asked, [_days(rule) for rule in rules if rule.required == required])
            is_required |= required and left != asked
            is_free |= not required and left != asked
            asked = left
    if is_required and not is_free and not asked:
        return Required.YES
    if is_free and not is_required and not asked:
        return Required.NOT_REQUIRED
    return Required.UNKNOWN if is_required or is_free else Required.NO_RULE


def _days(rule: Rule) -> Interval:
    """The days on which a rule is in force; what has no end is open."""
    return (_START if rule.from_day is None else rule.from_day, _END if rule.to_day is None else rule.to_day)
