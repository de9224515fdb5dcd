"""What people of the demo found out later: another name, a position that is less exact. Verdicts change by it."""

from __future__ import annotations

from typing import Any

from accessions.material.actions.specimens import change_event, determine
from accessions.material.models import Specimen
from accessions.people.models import User
from governance.verdicts.actions.taking_up import take_up


def correct_all(rows: list[dict[str, Any]]) -> None:
    """Each correction by its person, with the reason; then the verdicts are worked out again, as a page would."""
    for row in rows:
        by, why = User.objects.get(username=row["by"]), row["why"]
        specimen = Specimen.objects.get(catalog_number=row["specimen"])
        if "name" in row:
            determine(
                specimen, row["name"], identified_by=row["identified_by"], date_identified=str(row["date_identified"]),
                by=by, why=why,
            )  # fmt: skip
        else:
            change_event(specimen, row["event"], everyone=False, by=by, why=why)
        take_up(by=by)
