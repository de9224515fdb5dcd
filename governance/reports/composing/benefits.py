"""Benefits and deposits of a report: what was promised, what was given within the period, what was deposited."""

from __future__ import annotations

from collections.abc import Collection
from decimal import Decimal
from typing import Any

from governance.duties.queries import benefits as kept
from governance.duties.queries import deposits as deposited
from governance.duties.queries.benefits import PromiseLine
from governance.reports.composing.disclosing import Disclosing
from governance.reports.composing.papers import Papers
from governance.reports.composing.scope import Scope, iso
from governance.reports.contents import Row, plain_number
from governance.usedesk.queries.material import among


def promise_lines(scope: Scope, papers: Papers, disclosing: Disclosing) -> list[PromiseLine]:
    """Promises to the country or by the papers of the reader, whatever the period, as they stand today."""
    others = among("paper", papers.of_provider)
    found = kept.promises(scope.report.country, scope.report.paper, today=scope.today, others=others)
    told = [line for line in found if disclosing.goes_in(line.promise.paper_id)]
    disclosing.count("kept_benefits", len(found) - len(told))
    scope.tell("benefits", len(told), len(found))
    return told


def promises(lines: list[PromiseLine], disclosing: Disclosing) -> list[Row]:
    """A row a promise."""
    return [
        (
            _reference(line.promise.paper, disclosing), disclosing.masked(line.promise.clause_number),
            line.promise.code,
            disclosing.masked(line.promise.what), disclosing.masked(line.promise.beneficiary), _decimal(line.promised),
            _decimal(line.given), _decimal(line.open), disclosing.masked(line.unit),
            iso(line.promise.due_on), str(line.state),
        )
        for line in lines
    ]  # fmt: skip


def given(scope: Scope, papers: Papers, disclosing: Disclosing) -> list[Row]:
    """A row a benefit that was given in the period, or lasted into it, oldest first."""
    period = scope.period
    others = among("paper", papers.of_provider)
    found = kept.given(scope.report.country, scope.report.paper, period.first, period.last, others=others)
    told = [one for one in reversed(found) if disclosing.goes_in(one.paper_id) and _promised(one, disclosing)]
    disclosing.count("kept_benefits", len(found) - len(told))
    return [
        (
            one.on.isoformat(), iso(one.until_on), one.code, disclosing.masked(one.what),
            disclosing.masked(one.beneficiary), one.country or None,
            _decimal(one.amount if one.amount is not None else one.quantity),
            one.currency or disclosing.masked(one.unit),
            _reference(one.paper, disclosing), disclosing.masked(one.evidence),
        )
        for one in told
    ]  # fmt: skip


def _promised(one: Any, disclosing: Disclosing) -> bool:
    return one.promise is None or disclosing.goes_in(one.promise.paper_id)


def deposits(scope: Scope, disclosing: Disclosing, accessions: Collection[int] = ()) -> list[Row]:
    """A row a deposit within the period, oldest first.

    Args:
        accessions: keys; deposits of these in the country of the reader count under whatever paper they were entered.
    """
    period = scope.period
    found = deposited.deposits(scope.report.country, scope.report.paper, period.first, period.last)
    if accessions:
        known = {line.deposit.pk for line in found}
        found += [
            line for line in deposited.deposits(scope.country, None, period.first, period.last)
            if line.deposit.pk not in known and line.deposit.accession_id in accessions
        ]  # fmt: skip
        found.sort(key=lambda line: (line.deposit.on, line.deposit.pk), reverse=True)
    told = [line for line in reversed(found) if disclosing.goes_in(line.deposit.paper_id)]
    disclosing.count("kept_deposits", len(found) - len(told))
    return [
        (
            line.deposit.on.isoformat(), disclosing.masked(line.deposit.depository), line.deposit.country,
            line.accession.number if line.accession else None, line.count, disclosing.masked(line.deposit.what),
            disclosing.masked(line.receipt) or None, iso(line.deposit.receipt_on),
            _reference(line.deposit.paper, disclosing),
            str(line.deposit.use) if line.deposit.use else None,
        )
        for line in told
    ]  # fmt: skip


def never_entered(scope: Scope, disclosing: Disclosing) -> int:
    """Specimens that stayed in the country by deposits that no entry of uses tells of, whenever that was."""
    found = deposited.deposits(scope.report.country, scope.report.paper)
    return sum(line.count for line in found if line.deposit.use is None and disclosing.goes_in(line.deposit.paper_id))


def _reference(paper: Any, disclosing: Disclosing) -> str | None:
    return disclosing.masked(paper.reference) if paper is not None else None


def _decimal(value: Decimal | None) -> str | None:
    return None if value is None else plain_number(value)
