"""What people of the demo did beside the machine: searches for papers, decisions beside verdicts."""

from __future__ import annotations

from typing import Any, TypeVar

from accessions.material.models import Accession, Part, Specimen
from accessions.material.touches import Scope, touch
from accessions.people.history import record
from accessions.people.models import User
from governance.engine import Layer, Verdict
from governance.engine.tables import SearchState
from governance.verdicts.models import Override, RulingLayer, Search

WHY = "demo"

Coded = TypeVar("Coded", Verdict, SearchState)


def record_searches(rows: list[list[Any]], *, by: User) -> None:
    """Searches, of an accession or of one of its parts."""
    for number, letter, layer, state, day, who, note in rows:
        accession = Accession.objects.get(number=number)
        search = Search(
            accession=accession, part=Part.objects.get(accession=accession, letter=letter) if letter else None,
            layer=Layer.from_code(layer), state=_of(SearchState, state), searched_on=day, searched_by=who,
            note=note,
        )  # fmt: skip
        record(search, by=by, why=WHY)
        touch(Scope.ACCESSION, [accession.pk], by=by, why=WHY)


def overrule_all(rows: list[list[Any]]) -> None:
    """Decisions beside computed verdicts, with the reason of whoever took them."""
    for number, layer, verdict, who, reason in rows:
        specimen = Specimen.objects.select_related("standing").get(catalog_number=number)
        computed = RulingLayer.objects.select_related("outcome").get(
            ruling=specimen.standing.ruling_id, layer=Layer.from_code(layer)
        )
        override = Override(
            specimen=specimen, layer=Layer.from_code(layer), computed=computed.outcome.verdict,
            decided=_of(Verdict, verdict), reason=reason, decided_by=User.objects.get(username=who),
        )  # fmt: skip
        record(override, by=override.decided_by, why=WHY)


def _of(words: type[Coded], code: str) -> Coded:
    """The member that a code of the contract names."""
    return next(word for word in words if word.code == code)
