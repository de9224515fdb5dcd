"""Whether the deposits that papers ask for were made, and which receipts there are."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Any, Final

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext_lazy

from accessions.people.access import is_open_to
from accessions.people.wording import in_a_list
from governance.audit.asking import (
    Answer,
    Asked,
    Cell,
    Column,
    ColumnKind,
    Group,
    Linked,
    ListedRows,
    Missing,
    Parameter,
    ParameterKind,
    Question,
    Row,
)
from governance.audit.questions.addresses import accession_link, deposit_link, duty_link, paper_link, scan_link
from governance.audit.questions.telling import counted, sentences
from governance.audit.resolving import country_of, paper_of
from governance.duties.models import DutyKind
from governance.duties.queries.benefits import RECEIPT_MISSING, STANDINGS, PromiseLine, PromiseState, promises
from governance.duties.queries.deposits import DepositLine, deposits
from governance.duties.queries.ledger import country_of as country_of_benefit
from governance.duties.queries.ledger import hidden_line, number
from governance.duties.queries.listing import DutyLine, Wanted, duties, lines
from governance.engine.duties import State
from governance.papers.models import Paper

_COLUMNS: Final = (
    Column("row", gettext_lazy("Asked for or deposited")),
    Column("what", gettext_lazy("What")),
    Column("paper", gettext_lazy("Paper")),
    Column("country", gettext_lazy("Country"), ColumnKind.COUNTRY),
    Column("day", gettext_lazy("By, or on"), ColumnKind.DAY),
    Column("asked", gettext_lazy("Asked for"), ColumnKind.NUMBER),
    Column("deposited", gettext_lazy("Deposited"), ColumnKind.NUMBER),
    Column("unit", gettext_lazy("Of what")),
    Column("state", gettext_lazy("State")),
    Column("receipt", gettext_lazy("Receipt")),
    Column("receipt_on", gettext_lazy("Receipt of"), ColumnKind.DAY),
    Column("where", gettext_lazy("Where")),
    Column("accession", gettext_lazy("Accession")),
)

_ASKED: Final = ngettext_lazy("%(n)s deposit is asked for", "%(n)s deposits are asked for", "count")
_BECAME: Final = {
    "met": ngettext_lazy("%(n)s is met", "%(n)s are met", "count"),
    "late": ngettext_lazy("%(n)s is late", "%(n)s are late", "count"),
    "open": ngettext_lazy("%(n)s is open", "%(n)s are open", "count"),
    "not-measured": ngettext_lazy("%(n)s cannot be measured", "%(n)s cannot be measured", "count"),
    "closed": ngettext_lazy("%(n)s was closed or waived", "%(n)s were closed or waived", "count"),
}
_MADE: Final = ngettext_lazy("%(n)s deposit is on record.", "%(n)s deposits are on record.", "count")
_NO_RECEIPT: Final = ngettext_lazy(
    "Of %(n)s deposit no receipt is entered.", "Of %(n)s deposits no receipt is entered.", "count"
)
_KEPT: Final = ngettext_lazy(
    "Of %(n)s row the words and numbers are for readers of its paper.",
    "Of %(n)s rows the words and numbers are for readers of their papers.", "count",
)  # fmt: skip

_STATE_OF: Final = {
    PromiseState.MET.value: "met", RECEIPT_MISSING: "met", PromiseState.OVERDUE.value: "late",
    PromiseState.OPEN.value: "open", PromiseState.CLOSED.value: "closed",
    PromiseState.NOT_MEASURED.value: "not-measured", State.DONE.value: "met", State.ACCEPTED.value: "met",
    State.LATE.value: "late", State.DUE.value: "open", State.COMING.value: "open", State.DAY_NOT_KNOWN.value: "open",
    State.WAIVED.value: "closed",
}  # fmt: skip
"""In which words of the sentence a promise or a duty counts."""


def answer(asked: Asked) -> Answer:
    """Promises of deposits, duties to deposit, and the deposits: about ten queries, whatever their number."""
    country, paper = country_of(asked), paper_of(asked) if asked["paper"] else None
    promised = [one for one in promises(country, paper, today=asked.on) if one.promise.is_deposit or one.is_share]
    owed = _duties(asked, country, paper)
    made = deposits(country, paper)
    rows = [_of_promise(one, asked.reader) for one in promised]
    rows += [_of_duty(one) for one in owed]
    rows += [_of_deposit(one, asked.reader) for one in made]
    hidden = sum(1 for one in owed if one.hidden)
    hidden += sum(1 for row in (*(one.promise for one in promised), *(one.deposit for one in made))
                  if hidden_line(row, asked.reader))  # fmt: skip
    return Answer(
        sentence=_sentence(promised, owed, made), columns=_COLUMNS, rows=ListedRows(rows),
        missing=tuple(_missing(promised, made)), kept_back=(counted(_KEPT, hidden),) if hidden else (),
        notes=(
            _("Asked for: promises of a deposit or of a share of the material, and duties to deposit that follow from "
              "rules. A deposit that was voided, or whose entry was, does not count. What a share is of is told on the "
              "page of its promise."),
        ),
    )  # fmt: skip


def _duties(asked: Asked, country: str, paper: Paper | None) -> list[DutyLine]:
    wanted = Wanted(state="all", kind=DutyKind.DEPOSIT, country=country, paper=str(paper.pk) if paper else "")
    rows = duties(wanted, asked.reader, asked.on).filter(dropped_on__isnull=True)
    return lines(list(rows.select_related("done_scan", "accession")), asked.reader)


# Rows -----------------------------------------------------------------------------------------------------------------


def _of_promise(line: PromiseLine, reader: Any) -> Row:
    promise, hidden = line.promise, hidden_line(line.promise, reader)
    page = reverse("duties:promise", args=[promise.pk])
    return Row(
        f"promise:{promise.pk}",
        (
            _("Asked for"), Linked(hidden or promise.what, page), paper_link(promise.paper) if promise.paper else None,
            country_of_benefit(promise), promise.due_on, None if hidden else number(line.promised),
            None if hidden else number(line.given), "" if hidden else line.unit, str(STANDINGS[line.standing]), None,
            None, "", None,
        ),
    )  # fmt: skip


def _of_duty(line: DutyLine) -> Row:
    duty = line.duty
    return Row(
        f"duty:{duty.pk}",
        (
            _("Asked for"), duty_link(duty, line.hidden or line.what), paper_link(duty.paper) if duty.paper else None,
            line.country, duty.due_on, None, None, "", str(line.state_name), "" if line.hidden else duty.done_how,
            duty.done_on, line.to_whom, accession_link(duty.accession) if duty.accession else None,
        ),
    )  # fmt: skip


def _of_deposit(line: DepositLine, reader: Any) -> Row:
    deposit, hidden = line.deposit, hidden_line(line.deposit, reader)
    return Row(
        f"deposit:{deposit.pk}",
        (
            _("Deposited"), deposit_link(deposit, hidden or deposit.what or _("Deposit")),
            paper_link(deposit.paper) if deposit.paper else None, deposit.country, deposit.on, None, line.count,
            _("specimens"), _("Receipt on file") if line.receipt else _("No receipt yet"),
            None if hidden else _receipt(deposit, reader), None if hidden else deposit.receipt_on,
            "" if hidden else deposit.depository,
            accession_link(line.accession) if line.accession is not None else None,
        ),
    )  # fmt: skip


def _receipt(deposit: Any, reader: Any) -> Cell:
    """Its number, which leads to the scan where that is open to the reader."""
    scan = deposit.scan
    if scan is None or not is_open_to(reader, scan.open_to):
        return str(deposit.receipt)
    return Linked(deposit.receipt or scan.original_name, scan_link(scan).address)


# What is said of it ---------------------------------------------------------------------------------------------------


def _sentence(promised: Sequence[PromiseLine], owed: Sequence[DutyLine], made: Sequence[DepositLine]) -> str:
    states = Counter(_STATE_OF[word] for word in (*(one.standing for one in promised), *(one.state for one in owed)))
    became = in_a_list(counted(words, states[key]) for key, words in _BECAME.items() if states[key])
    without = sum(1 for one in made if not one.receipt)
    asked = counted(_ASKED, len(promised) + len(owed))
    return sentences(
        f"{asked}{f': {became}' if became else ''}.", counted(_MADE, len(made)),
        counted(_NO_RECEIPT, without) if without else "",
    )  # fmt: skip


def _missing(promised: Sequence[PromiseLine], made: Sequence[DepositLine]) -> Iterator[Missing]:
    without = sum(1 for one in made if not one.receipt)
    if without:
        yield Missing(counted(_NO_RECEIPT, without), without, f"{reverse('duties:deposits')}?show=receipt")
    if any(one.share is not None and one.share.unassigned for one in promised):
        yield Missing(
            _("Some deposits name no promise, and their papers promise several shares: nobody can tell which.")
        )


QUESTION: Final = Question(
    "deposits-due", Group.DUTIES, gettext_lazy("Are the duplicates and holotypes that are asked for deposited?"),
    gettext_lazy("Deposits that papers ask for, with what was deposited, where, and the receipts."), answer,
    (
        Parameter("country", ParameterKind.COUNTRY, gettext_lazy("Country"),
                  help=gettext_lazy("To which it is owed; blank: any")),
        Parameter("paper", ParameterKind.PAPER, gettext_lazy("Paper"), help=gettext_lazy("Its reference; blank: any")),
    ),
)  # fmt: skip
