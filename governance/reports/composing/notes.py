"""Frank sentences of reports to a country: what is an exception, what cannot be told, what stayed out. ``NOTES`` lists
every key."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from governance.duties.queries.benefits import PromiseLine
from governance.engine.duties.states import State
from governance.engine.tables import Verdict
from governance.reports.composing.benefits import never_entered
from governance.reports.composing.codes import IN, MAYBE, NOT_JUDGED, NOT_KNOWN, YES
from governance.reports.composing.disclosing import Disclosing
from governance.reports.composing.places import Mapped
from governance.reports.composing.scope import Scope
from governance.reports.contents import Note, Proof, TableData, Value, measured, plain_number
from governance.verdicts.queries.pending import pending_touches

KEPT_BACK: Final = (
    "kept_papers", "kept_owners", "kept_localities", "kept_findings", "kept_remedies", "kept_benefits",
    "kept_deposits", "kept_duties", "kept_places",
)  # fmt: skip
"""Of the part "disclosure": papers that are open to some roles only, with their references; names of private owners;
places that a provider does not want told; findings, remedies, benefits, deposits and duties of such papers;
areas of papers of private people."""

NOTES: Final = (
    "exceptions_exist", "exceptions_none", "verdicts_waiting", "cannot_tell", "not_judged", "no_paper",
    "uses_outside", "remedies_open", "uses_outside_without_remedy", "nothing_taken", "never_entered",
    "nothing_known_taken", "taken_not_known", "taken_maybe", "papers_kept_back", "owners_kept_back",
    "localities_kept_back", "deposits_none", "promises_none", "share_deposited", "share_not_known",
    "promises_not_measured", "promises_overdue", "duties_late", "nothing_unknown", "country_not_known",
    "map_without_position", "map_left_out", "map_areas_left_out", "no_movements", "no_uses", "no_movements_but_uses",
    "no_losses", *KEPT_BACK,
)  # fmt: skip

Tables = Mapping[str, TableData]


def notes_of(scope: Scope, tables: Tables, lines: Sequence[PromiseLine], disclosing: Disclosing,
             drawn: Mapped | None) -> list[Note]:  # fmt: skip
    """The sentences that these tables and what was kept back give rise to."""
    return [
        *_on_material(scope, tables), *_on_what_stayed(scope, tables, disclosing), *_on_exceptions(tables),
        *_on_uses(tables), *_on_benefits(tables, lines), *_on_the_rest(scope, tables), *_on_disclosure(disclosing),
        *(_on_map(drawn) if drawn else ()),
    ]  # fmt: skip


def _counted(
    tables: Tables, key: str, part: str, table: str, where: Mapping[str, Value] | None = None, measure: str = "rows"
) -> Iterator[Note]:
    """A sentence with the number of some rows, if there are any."""
    if table not in tables:
        return
    proof = Proof(table, dict(where or {}), measure)
    number = int(measured(proof, tables[table]))
    if number:
        yield Note(key, part, {"n": number}, proof)


def _none(tables: Tables, key: str, part: str, table: str) -> Iterator[Note]:
    """A sentence that a table is empty."""
    if table in tables and not tables[table].rows:
        yield Note(key, part, {}, Proof(table))


def _on_material(scope: Scope, tables: Tables) -> Iterator[Note]:
    if "material" not in tables or scope.period.is_open:
        return
    unclear = [*_counted(tables, "taken_not_known", "material", "material", {"in_period": NOT_KNOWN}),
               *_counted(tables, "taken_maybe", "material", "material", {"in_period": MAYBE})]  # fmt: skip
    taken = Proof("material", {"in_period": IN})
    if measured(taken, tables["material"]) == "0":
        yield Note("nothing_known_taken" if unclear else "nothing_taken", "material", {}, taken)
    yield from unclear


def _on_what_stayed(scope: Scope, tables: Tables, disclosing: Disclosing) -> Iterator[Note]:
    """What was taken and never entered here: proved by the deposits where all of them are of the period."""
    number = never_entered(scope, disclosing) if "material" in tables else 0
    if number:
        yield Note("never_entered", "material", {"n": number}, _proving(tables, number, {"entry": None}))


def _proving(tables: Tables, number: int, *conditions: Mapping[str, Value]) -> Proof | None:
    """The deposits that make a number of specimens; None where no condition finds just these."""
    proofs = [Proof("deposits", dict(where), "sum:specimens") for where in conditions if "deposits" in tables]
    return next((one for one in proofs if measured(one, tables["deposits"]) == str(number)), None)


def is_all_judged(tables: Tables) -> bool:
    """Whether each specimen of the material was checked: of one that was not, an empty table of exceptions says
    nothing."""
    return "material" in tables and measured(Proof("material", {"verdict": NOT_JUDGED}), tables["material"]) == "0"


def _on_exceptions(tables: Tables) -> Iterator[Note]:
    part = "exceptions"
    if "exceptions" not in tables:
        return
    yield from _counted(tables, "exceptions_exist", part, "exceptions", measure="distinct:specimen")
    waiting = pending_touches()
    if waiting:
        yield Note("verdicts_waiting", part, {"n": waiting})
    elif is_all_judged(tables):
        yield from _none(tables, "exceptions_none", part, "exceptions")
    cannot_tell = {"verdict": Verdict.CANNOT_TELL.code}
    yield from _counted(tables, "cannot_tell", part, "exceptions", cannot_tell, "distinct:specimen")
    missing = {"verdict": Verdict.MISSING.code}
    yield from _counted(tables, "no_paper", part, "exceptions", missing, "distinct:specimen")
    yield from _counted(tables, "not_judged", part, "material", {"verdict": NOT_JUDGED})
    yield from _counted(tables, "remedies_open", part, "remedies", {"done_on": None})


def _on_uses(tables: Tables) -> Iterator[Note]:
    for table, empty in (("movements", "no_movements"), ("uses", "no_uses"), ("losses", "no_losses")):
        is_used = table == "movements" and _by_others(tables)
        yield from _none(tables, "no_movements_but_uses" if is_used else empty, table, table)
        if table != "losses":
            yield from _counted(tables, "uses_outside", table, table, {"outside": YES})
    if "remedies" in tables:
        told = {row[0] for row in tables["remedies"].rows}
        outside = [
            row for key in ("movements", "uses") if key in tables
            for row in tables[key].rows if row[tables[key].place("outside")] == YES
        ]  # fmt: skip
        without = sum(1 for row in outside if row[0] not in told)
        if without:
            yield Note("uses_outside_without_remedy", "exceptions", {"n": without})


def _by_others(tables: Tables) -> bool:
    """Whether uses by others are told: material reached somebody, though no movement of the period says so."""
    uses = tables.get("uses")
    return uses is not None and any(row[uses.place("recipient")] for row in uses.rows)


def _on_benefits(tables: Tables, lines: Sequence[PromiseLine]) -> Iterator[Note]:
    yield from _none(tables, "deposits_none", "deposits", "deposits")
    yield from _none(tables, "promises_none", "benefits", "promises")
    yield from _counted(tables, "promises_not_measured", "benefits", "promises", {"state": "not-measured"})
    yield from _counted(tables, "promises_overdue", "benefits", "promises", {"state": "overdue"})
    for line in lines:
        if line.is_share:
            yield _share(line, tables)


def _share(line: PromiseLine, tables: Tables) -> Note:
    """Which share of the material is deposited, of what."""
    promised = plain_number(line.promised) if line.promised is not None else ""
    paper = line.promise.paper.reference if line.promise.paper else ""
    if line.share is None or line.given is None:
        return Note("share_not_known", "deposits", {"promised": promised, "paper": paper})
    told = {
        "promised": promised, "paper": paper, "percent": plain_number(line.given),
        "n": line.share.deposited, "base": line.share.base,
    }  # fmt: skip
    proof = _proving(tables, line.share.deposited, {}, {"paper": paper})
    return Note("share_deposited", "deposits", told, proof)


def _on_the_rest(scope: Scope, tables: Tables) -> Iterator[Note]:
    yield from _counted(tables, "duties_late", "duties", "duties", {"state": State.LATE.value})
    yield from _none(tables, "nothing_unknown", "unknown", "unknown")
    nowhere = scope.without_country()
    if nowhere:
        yield Note("country_not_known", "unknown", {"n": nowhere})


def _on_disclosure(disclosing: Disclosing) -> Iterator[Note]:
    for key, part, kept in (
        ("papers_kept_back", "agreement", "kept_papers"), ("owners_kept_back", "agreement", "kept_owners"),
        ("localities_kept_back", "material", "kept_localities"),
    ):  # fmt: skip
        if disclosing.kept_back[kept]:
            yield Note(key, part, {"n": disclosing.kept_back[kept]})


def _on_map(drawn: Mapped) -> Iterator[Note]:
    for key, number in (
        ("map_without_position", drawn.without_position), ("map_left_out", drawn.left_out),
        ("map_areas_left_out", drawn.areas_left_out),
    ):  # fmt: skip
        if number:
            yield Note(key, "map", {"n": number})
