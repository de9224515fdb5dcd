"""Which terms of a file the register keeps, where, and how long their texts may be."""

from __future__ import annotations

from typing import Final

from accessions.material.models import Determination, Specimen
from accessions.material.reading import EVENT_TERMS
from accessions.names.placing import NAME_TERMS

SPECIMEN_COLUMN_OF_TERM: Final[dict[str, str]] = {
    "catalogNumber": "catalog_number", "preparations": "preparation", "individualCount": "individual_count",
    "countRange": "count_range", "unit": "unit", "basisOfRecord": "basis_of_record",
    "organismQuantity": "organism_quantity", "sex": "sex", "lifeStage": "life_stage", "occurrenceRemarks": "remarks",
}  # fmt: skip
DETERMINATION_COLUMN_OF_TERM: Final[dict[str, str]] = {
    "identifiedBy": "identified_by", "dateIdentified": "date_identified", "identificationRemarks": "remarks",
}  # fmt: skip
DELIVERY_TERMS: Final = ("exportedOn", "importedOn", "transferredOn")
COUNT_TERMS: Final = ("individualCount", "countRange", "unit", "basisOfRecord", "organismQuantity")
OWN_TERMS: Final = ("accessionNumber", "accessionPart", "takenFrom")

KEPT: Final[tuple[str, ...]] = (
    *OWN_TERMS,
    *SPECIMEN_COLUMN_OF_TERM,
    *EVENT_TERMS,
    *DELIVERY_TERMS,
    *NAME_TERMS,
    *DETERMINATION_COLUMN_OF_TERM,
)
"""In the order of a row's digest: a new term goes to the end, or every row of old files looks changed."""


def _lengths() -> dict[str, int]:
    found = {"accessionNumber": 100, "accessionPart": 10, "takenFrom": 200, "eventID": 200, "siteName": 200}
    found |= dict.fromkeys(DELIVERY_TERMS, 200) | {"locationID": 100}
    owners = ((Specimen, SPECIMEN_COLUMN_OF_TERM), (Determination, DETERMINATION_COLUMN_OF_TERM))
    for model, columns in owners:
        for term, column in columns.items():
            length = getattr(model._meta.get_field(column), "max_length", None)
            if length:
                found[term] = length
    return found


LONGEST: Final = _lengths()
"""Most characters of a cell, by term; terms that are not named have no limit of their own."""
