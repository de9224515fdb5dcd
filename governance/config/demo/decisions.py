"""What people of the demo did beside the machine: searches for papers, decisions beside verdicts."""

from __future__ import annotations

from typing import Any, TypeVar

from accessions.material.models import Accession, Part, Specimen
from accessions.people.models import User
from governance.engine import Layer, Verdict
from governance.engine.tables import SearchState
from governance.verdicts.actions.overrides import overrule
from governance.verdicts.actions.searches import record_searches

WHY = "demo"

Coded = TypeVar("Coded", Verdict, SearchState)


def search_all(rows: list[list[Any]], *, by: User) -> None:
    """Searches, of an accession or of one of its parts."""
    for number, letter, layer, state, day, who, note in rows:
        accession = Accession.objects.get(number=number)
        if letter:
            of: dict[str, Any] = {"parts": [Part.objects.get(accession=accession, letter=letter)]}
        else:
            of = {"accessions": [accession]}
        record_searches(
            layer=Layer.from_code(layer), state=_of(SearchState, state), searched_on=day, searched_by=who, note=note,
            by=by, why=WHY, **of,
        )  # fmt: skip


def overrule_all(rows: list[list[Any]]) -> None:
    """Decisions beside computed verdicts, with the reason of whoever took them."""
    for number, layer, verdict, who, reason in rows:
        overrule(
            specimen=Specimen.objects.get(catalog_number=number), layer=Layer.from_code(layer),
            decided=_of(Verdict, verdict), reason=reason, by=User.objects.get(username=who),
        )  # fmt: skip


def _of(words: type[Coded], code: str) -> Coded:
    """The member that a code of the contract names."""
    return next(word for word in words if word.code == code)
