"""What became of each file of a drop, and the sentence that says so."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from governance.scans.models import FiledScan, Scan


class Outcome(StrEnum):
    """What became of a file."""

    FILED = "filed"
    EDITION = "edition"
    ALREADY = "already"
    REFUSED = "refused"


@dataclass(frozen=True)
class Filed:
    """One file of a drop. was_known: its content was in the register before. key: by which the sender knows it.
    note: what is said of a file that was received and filed nowhere."""

    name: str
    outcome: Outcome
    scan: Scan | None = None
    filing: FiledScan | None = None
    was_known: bool = False
    problem: str = ""
    key: str = ""
    note: str = ""

    @property
    def is_refused(self) -> bool:
        return self.outcome is Outcome.REFUSED

    @property
    def words(self) -> str:
        """One or two sentences for the person who dropped it."""
        if self.filing is None or self.scan is None:
            return self.problem or self.note
        if self.outcome is Outcome.ALREADY:
            return _already(self.name, self.filing)
        told = _edition(self.filing) if self.outcome is Outcome.EDITION else _("Filed.")
        return f"{told} {_known(self.scan)}" if self.was_known else told


def _day(filing: FiledScan) -> str:
    return date_format(localtime(filing.filed_at), "j F Y")


def _already(name: str, filing: FiledScan) -> str:
    if filing.name == name:
        return _("It is filed here already, since %(day)s. Nothing was changed.") % {"day": _day(filing)}
    words = _("The same content is filed here already as %(other)s, since %(day)s. Nothing was changed.")
    return words % {"other": filing.name, "day": _day(filing)}


def _edition(filing: FiledScan) -> str:
    words = _("Filed as edition %(n)d of %(name)s. Edition %(before)d stays on record.")
    before = filing.replaces.edition if filing.replaces else filing.edition - 1
    return words % {"n": filing.edition, "name": filing.name, "before": before}


def _known(scan: Scan) -> str:
    words = _("Its content is known already since %(day)s, and was not stored again.")
    return words % {"day": date_format(localtime(scan.received_at), "j F Y")}


def summary(filed: list[Filed]) -> str:
    """All files of a drop in one sentence: ``3 files were filed, 1 was there already, 1 was refused.``"""
    numbers = {outcome: sum(one.outcome is outcome for one in filed) for outcome in Outcome}
    told = [
        (numbers[Outcome.FILED] + numbers[Outcome.EDITION], _("%(n)d filed")),
        (numbers[Outcome.ALREADY], _("%(n)d there already")),
        (numbers[Outcome.REFUSED], _("%(n)d refused")),
    ]
    return ", ".join(words % {"n": n} for n, words in told if n) + "."


def received_summary(received: list[Filed]) -> str:
    """The same of files that are filed nowhere yet: ``3 received, 1 refused.``"""
    refused = sum(one.is_refused for one in received)
    told = [(len(received) - refused, _("%(n)d received")), (refused, _("%(n)d refused"))]
    return ", ".join(words % {"n": n} for n, words in told if n) + "."
