"""What may be meant while somebody is still typing: numbers and names that begin so, by indexes alone."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from typing import Any, Final

from django.utils.translation import gettext as _

from accessions.material.models import Accession, Specimen
from accessions.names.folding import folded as folded_name
from accessions.names.models import Taxon
from accessions.people.models import AgentName
from accessions.people.name_keys import fold_name
from accessions.sites.models import Site
from governance.papers.models import Paper
from governance.search.asked import Asked
from governance.verdicts.queries.filters import starts_with

MOST: Final = 10
_OF_EACH: Final = 4
_SHORTEST: Final = 2


def suggestions(asked: Asked) -> list[tuple[str, str]]:
    """What to type, and what it is: at most six queries, each of some rows at the beginning of an index."""
    if len(asked.number) < _SHORTEST:
        return []
    return list(islice(dict.fromkeys(_begun(asked.text)), MOST))


def _begun(text: str) -> Iterator[tuple[str, str]]:
    numbers = ((Accession, "number", _("accession")), (Paper, "reference", _("paper")),
               (Specimen, "catalog_number", _("specimen")))  # fmt: skip
    for model, column, what in numbers:
        for value in _values(model, column, column, text.upper()):
            yield value, what
    for value in _values(Site, "code_key", "code", text.casefold()):
        yield value, _("site")
    for value in _values(Taxon, "key", "name", folded_name(text)):
        yield value, _("taxon")
    for value in _values(AgentName, "key", "form", fold_name(text)):
        yield value, _("agent")


def _values(model: Any, column: str, shown: str, start: str) -> list[str]:
    if not start:
        return []
    rows = model._default_manager.filter(starts_with(column, start)).order_by(column)
    if model is Specimen:
        rows = rows.exclude(catalog_number="")  # in these words SQLite knows that the index of filled numbers will do
    return list(rows.values_list(shown, flat=True)[:_OF_EACH])
