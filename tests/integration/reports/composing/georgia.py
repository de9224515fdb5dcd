"""A small register of Georgia for the reports on it, counted by hand; and what is asked of a report.

Seven rows of material. Taken in 2025: a specimen of three, a lot of 10 to 20, and a leg of the first, which lies in
another accession and whose own record says another country. Before and after it a day each; one on a day that nobody
knows, at no known place; one between 20 December 2024 and 10 January 2025. A specimen of Peru is of no concern.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from itertools import count
from typing import Any

from accessions.material.models import Accession, Specimen
from accessions.people.models import Role, User
from governance.reports.composing import compose
from governance.reports.contents import Composed, Note, measured
from governance.reports.models import Report
from governance.usedesk.models import LoanReturn, MadeUse, Sequence, UseItem
from tests.factories import register
from tests.factories.usedesk import made_use, recipient

TODAY = date(2026, 11, 26)
YEAR: dict[str, Any] = {"period_from": date(2025, 1, 1), "period_to": date(2025, 12, 31)}
_numbers = count(1)


@dataclass
class Georgia:
    """The specimens by what they are."""

    here: Accession
    there: Accession
    three: Specimen
    lot: Specimen
    before: Specimen
    after: Specimen
    undated: Specimen
    vague: Specimen
    leg: Specimen
    of_peru: Specimen


def make_georgia() -> Georgia:
    here, there = register.accession("LMN-1"), register.accession("LMN-2")
    in_year = register.event("EV-1", "2025-06-17", site=register.site("GE-NAZ-1"))
    before, after = register.event("EV-2", "2024-12-31"), register.event("EV-3", "2026-01-01")
    nowhere = register.event("EV-4", "", longitude_deg=None, latitude_deg=None, radius_m=None)
    vague = register.event("EV-5", "2024-12-20", reading="vague", latest_on=date(2025, 1, 10))
    splendens = register.written_name("Calopteryx splendens", rank="species")
    virgo = register.written_name("Calopteryx virgo", rank="species")
    genus = register.written_name("Hydropsyche", rank="genus")

    def one(number: str, event: Any, name: Any = splendens, **values: Any) -> Specimen:
        return register.specimen(number, **{"accession": here, "event": event, "name": name, **values})

    three = one("A1", in_year, count_low=3, count_high=3)
    return Georgia(
        here, there, three,
        lot=one("A2", in_year, virgo, kind="lot", count_low=10, count_high=20),
        before=one("A3", before), after=one("A4", after), undated=one("A5", nowhere, genus), vague=one("A6", vague),
        leg=one("B1", register.event("EV-6", "2025-07-01", country="SE"), accession=there, parent=three, kind="part"),
        of_peru=one("P1", register.event("EV-7", "2025-06-17", country="PE")),
    )  # fmt: skip


def lend(georgia: Georgia) -> MadeUse:
    """On 2 March 2025 three were lent to Iceland: one came back, one is out, one was kept by the borrower in May."""
    borrower = recipient(name="Hafnarvík Institute")
    loan = made_use(
        georgia.three, georgia.lot, georgia.before, on=date(2025, 3, 2), reference="L-1", recipient=borrower,
        due_on=date(2025, 9, 1),
    )  # fmt: skip
    back = LoanReturn.objects.create(use=loan, on=date(2026, 2, 1), recorded_by=register.person(Role.REGISTRAR))
    UseItem.objects.filter(use=loan, specimen=georgia.three).update(returned=back)
    made_use(georgia.before, deed="retention", on=date(2025, 5, 1), parent=loan, recipient=borrower, reference="L-1a")
    return loan


def sequence(georgia: Georgia) -> MadeUse:
    """Two sequences were read from the leg on 1 February 2025."""
    made = made_use(georgia.leg, deed="sequencing", on=date(2025, 2, 1), use=8, reference="S-1")
    for number in ("ZZ000001", "ZZ000002"):
        Sequence.objects.create(item=made.items.get(), accession_number=number, marker="COI")
    return made


def report_on(kind: str = "provider", reader: User | None = None, **about: Any) -> Composed:
    """A report on Georgia, or on a paper, composed today by a registrar."""
    if "paper" not in about:
        about.setdefault("country", "GE")
    report = Report(reference=f"RP-{next(_numbers)}", kind=kind, **about)
    return compose(report, reader=reader or register.person(Role.REGISTRAR), today=TODAY)


def number(made: Composed, key: str, unit: str = "") -> str:
    """The figure of a key."""
    (found,) = [one for one in made.contents.figures if one.key == key and one.unit == unit]
    return found.value


def numbers(made: Composed, *keys: str) -> list[int]:
    return [int(number(made, key)) for key in keys]


def column(made: Composed, table: str, *columns: str) -> list[Any]:
    """Some columns of a table."""
    data = made.tables[table]
    return [tuple(row[data.place(one)] for one in columns) for row in data.rows]


def note(made: Composed, key: str) -> Note | None:
    """The note of a key, of the parts or of what was kept back."""
    told = (*made.contents.notes, *made.contents.disclosure.kept_back)
    return next((one for one in told if one.key == key), None)


def unproved(made: Composed) -> list[str]:
    """Keys of figures, and of notes with a number, that their rows do not give."""
    said = [(one.key, one.value, one.proof) for one in made.contents.figures]
    said += [(one.key, str(one.values["n"]), one.proof) for one in made.contents.notes if one.proof and one.values]
    return [key for key, value, proof in said if value != measured(proof, made.tables[proof.table])]
