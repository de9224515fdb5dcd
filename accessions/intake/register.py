"""What the register holds already, looked up for a whole file at a time."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

from django.db.models import Count

from accessions.intake.kept import DETERMINATION_COLUMN_OF_TERM, SPECIMEN_COLUMN_OF_TERM
from accessions.intake.rows import UNSTORABLE
from accessions.material.models import Accession, Determination, SamplingEvent, Specimen
from accessions.names.models import WrittenName
from accessions.people.bulk import found_by

T = TypeVar("T")
_KEYS_AT_ONCE = 10_000
_ROWS_AT_ONCE = 500


@dataclass(frozen=True)
class Record:
    """A specimen that is there."""

    pk: int
    accession: str
    digest: str


class Known:
    """Looks things up in the database, many at a time; every call queries."""

    def by_catalog_number(self, numbers: Collection[str]) -> dict[str, Record]:
        """Specimens by catalogue number."""
        columns = ("catalog_number", "id", "accession_id", "digest")
        rows = list(found_by(Specimen, "catalog_number", _storable(numbers), *columns))
        accessions = dict(Accession.objects.order_by().values_list("pk", "number")) if rows else {}
        return {number: Record(pk, accessions[accession], digest) for number, pk, accession, digest in rows}

    def unnumbered(self, accessions: Collection[str]) -> Counter[tuple[str, str]]:
        """How many specimens without a number there are by accession number and digest."""
        found: Counter[tuple[str, str]] = Counter()
        for some in _slices(_storable(accessions), _KEYS_AT_ONCE):
            rows = Specimen.objects.filter(catalog_number="", accession__number__in=some).order_by()
            for accession, digest, count in rows.values_list("accession__number", "digest").annotate(Count("pk")):
                found[accession, digest] = count
        return found

    def written(self, specimens: Sequence[int]) -> dict[int, dict[str, str]]:
        """What is recorded of specimens, by term."""
        found = {}
        related = ("accession", "part", "delivery", "event", "name", "parent")
        for some in _slices(specimens, _ROWS_AT_ONCE):
            current = {d.specimen_id: d for d in Determination.objects.filter(specimen__in=some, is_current=True)}
            for specimen in Specimen.objects.filter(pk__in=some).select_related(*related).order_by():
                found[specimen.pk] = written_columns(specimen, current.get(specimen.pk))
        return found


def written_columns(specimen: Specimen, determination: Determination | None) -> dict[str, str]:
    """A specimen as a row of a file. The related rows are expected to be there (``select_related``)."""
    cells = {
        "accessionNumber": specimen.accession.number,
        "accessionPart": specimen.part.letter if specimen.part else "",
        "takenFrom": specimen.parent.catalog_number if specimen.parent else "",
        "exportedOn": specimen.delivery.exported_on if specimen.delivery else "",
        "importedOn": specimen.delivery.imported_on if specimen.delivery else "",
        "transferredOn": specimen.delivery.transferred_on if specimen.delivery else "",
    }
    cells |= _cells(specimen, SPECIMEN_COLUMN_OF_TERM)
    cells |= _cells(specimen.event, SamplingEvent.COLUMN_OF_TERM)
    cells |= _cells(specimen.name, WrittenName.COLUMN_OF_TERM)
    if determination:
        cells |= _cells(determination, DETERMINATION_COLUMN_OF_TERM)
    return cells


def _cells(row: object, columns: Mapping[str, str]) -> dict[str, str]:
    return {term: getattr(row, column) for term, column in columns.items()}


def _storable(texts: Collection[str]) -> list[str]:
    """Texts that a query can ask for; the others are in no database."""
    return [text for text in texts if not UNSTORABLE.search(text)]


def _slices(keys: Sequence[T], size: int) -> Iterator[Sequence[T]]:
    for start in range(0, len(keys), size):
        yield keys[start : start + size]
