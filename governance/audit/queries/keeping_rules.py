"""The rules of keeping: those that the house adopted, and the defaults where it has none yet."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from governance.audit.models import KeepingRule, KeptKind
from governance.jurisdictions.keeping import keeping_defaults


@dataclass(frozen=True)
class Rule:
    """years: None for ever. is_adopted: the house took it over; a default lets nothing go."""

    kind: KeptKind
    years: int | None
    source: str
    is_adopted: bool
    is_from_memory: bool

    @property
    def after(self) -> Any:
        """What starts the period."""
        return _AFTER[self.kind]()

    @property
    def words(self) -> str:
        """The rule in a sentence, without its source."""
        if self.years is None:
            return _("for ever")
        if not self.years:
            return _("up to %(after)s") % {"after": self.after}
        return ngettext("%(n)d year after %(after)s", "%(n)d years after %(after)s", self.years) % {
            "n": self.years, "after": self.after}  # fmt: skip

    @property
    def told(self) -> str:
        """The rule with its source, as a disposal keeps it."""
        return f"{self.kind.label}: {self.words} ({self.source})"


_AFTER: Final[Mapping[KeptKind, Callable[[], str]]] = {
    KeptKind.ABS: lambda: _("the end of utilisation"),
    KeptKind.TITLE: lambda: "",
    KeptKind.OTHER: lambda: _("the last day of the paper"),
    KeptKind.PERSON: lambda: _("the keeping day of the last record that names the person"),
}


def keeping_rules() -> Mapping[KeptKind, Rule]:
    """The rule of each sort of record: one query."""
    adopted = {rule.kind: rule for rule in KeepingRule.objects.all()}
    return {kind: _rule(kind, adopted.get(kind)) for kind in KeptKind}


def _rule(kind: KeptKind, adopted: KeepingRule | None) -> Rule:
    if adopted is not None:
        return Rule(kind, adopted.years, adopted.source, is_adopted=True, is_from_memory=False)
    default = keeping_defaults()[kind]
    return Rule(kind, default.years, default.source, is_adopted=False, is_from_memory=not default.decides)
