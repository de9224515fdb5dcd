"""The whole check of the seal: is the register as it was sealed, and where not."""

from __future__ import annotations

import time
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime

from django.utils.translation import gettext as _

from accessions.people.models import Write
from governance.audit.queries.seal.chain import Step, check_chain
from governance.audit.queries.seal.files import check_files
from governance.audit.queries.seal.heads import Head, check_heads, kept_heads
from governance.audit.queries.seal.moment import of_one_moment
from governance.audit.queries.seal.problems import Problems
from governance.audit.queries.seal.rows import Unsealed, check_records, tell_unsealed, unsealed_rows
from governance.audit.queries.seal.verdicts import check_runs, check_standings


@dataclass(frozen=True)
class SealReport:
    """What a check found. entries, sha256: of the chain. since: the first write. late: writes that were sealed late.
    heads, agreeing: kept heads that were compared, and how many agree."""

    entries: int
    sha256: str
    since: datetime | None
    problems: Problems
    late: list[Write] = field(default_factory=list)
    heads: int = 0
    agreeing: int = 0
    files: int = 0
    with_files: bool = True
    seconds: float = 0.0

    @property
    def is_whole(self) -> bool:
        """Whether nothing was found."""
        return not self.problems.count


def _silent(_words: str, _done: int, _total: int) -> None:
    """Tells nobody."""


def check_seal(*, told: Iterable[Head] = (), with_files: bool = True, step: Step = _silent) -> SealReport:
    """Check everything. told: heads that are kept elsewhere, besides those that the register knows of."""
    began, problems = time.monotonic(), Problems()
    heads = [*told, *kept_heads()]
    with of_one_moment():
        chain = check_chain(problems, {head.number for head in heads}, step)
        step(_("Looking for rows without a seal"), 0, 1)
        unsealed = list(unsealed_rows())
        check_records(problems, step)
        check_runs(problems, step)
        check_standings(problems, step)
        late = list(Write.objects.filter(is_late=True).select_related("by"))
        since = Write.objects.values_list("at", flat=True).first()
    for rows in _still(unsealed):
        tell_unsealed(problems, rows)
    agreeing = check_heads(problems, heads, chain.entries, chain.heads)
    files = check_files(problems, step) if with_files else 0
    return SealReport(
        chain.entries, chain.sha256.hex(), since, problems, late, len(heads), agreeing, files, with_files,
        time.monotonic() - began,
    )  # fmt: skip


def _still(unsealed: list[Unsealed]) -> list[Unsealed]:
    """Those that have no entry even now: a change may have been committed and not sealed yet when they were read."""
    if not unsealed:
        return []
    time.sleep(0.2)
    now = {one.model: set(one.keys) for one in unsealed_rows()}
    both = [Unsealed(one.model, [key for key in one.keys if key in now.get(one.model, ())]) for one in unsealed]
    return [one for one in both if one.keys]
