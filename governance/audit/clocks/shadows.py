"""The tables of the register at a moment, each put in place when a statement first reads it.

A question of papers so never waits for a copy of a million specimens.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from datetime import datetime
from functools import partial

from django.apps import apps

from governance.audit.clocks import rules, standing, tracked
from governance.audit.clocks.tracked import Model


class Shadows:
    """What stands in front of the tables that were otherwise at the moment. Its makers are called once each."""

    def __init__(self, moment: datetime) -> None:
        self._moment = moment
        self._changed = frozenset(tracked.changed_since(moment))
        self._taken: set[Model] = set()
        self._makers: dict[str, Callable[[], None]] = {}
        for model in self._changed:
            self._makers[model._meta.db_table] = partial(self._put_tracked, model)
            self._makers[tracked.history_table(model)] = partial(tracked.put_history_in_front, model, moment)
        for label, rule in rules.RULES.items():
            if rule.where:
                self._makers[apps.get_model(label)._meta.db_table] = partial(self._put_by_rule, label)
        self._makers[standing.Standing._meta.db_table] = self._put_standing
        self._names = re.compile(rf"\b(?:{'|'.join(self._makers)})\b")

    def missing(self, sql: str) -> list[str]:
        """The tables that a statement names and that are not in place yet."""
        return [name for name in dict.fromkeys(self._names.findall(sql)) if name in self._makers]

    def put(self, names: Iterable[str]) -> None:
        """Put tables in place, and before each what it is made of."""
        for name in names:
            make = self._makers.pop(name, None)
            if make is not None:
                make()

    def put_all(self) -> None:
        self.put(list(self._makers))

    def _put_tracked(self, model: Model) -> None:
        self._take(model)
        tracked.put_in_front(model)

    def _take(self, model: Model) -> None:
        if model in self._changed and model not in self._taken:
            self._taken.add(model)
            tracked.take_changed(model, self._moment)

    def _put_by_rule(self, label: str) -> None:
        self.put(self.missing(rules.RULES[label].where))
        rules.put_by_rule(label, self._moment)

    def _put_standing(self) -> None:
        self.put(model._meta.db_table for model in standing.READS)
        for model in standing.TAKES:
            self._take(model)
        standing.put_standing_in_front(self._moment, self._changed)
