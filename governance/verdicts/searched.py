"""What searches for papers came to, for each specimen: of its accession or its part, the latest."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from governance.engine.tables import ByteColumn, Layer
from governance.verdicts.feed.rows import select
from governance.verdicts.feed.specimens import SpecimenRows


@dataclass(frozen=True)
class SearchStates:
    """By layer the state of the search of each specimen, shape (n_specimens,); layers nobody searched are no key."""

    by_layer: dict[Layer, ByteColumn]

    def of_layer(self, layer: Layer) -> ByteColumn | None:
        return self.by_layer.get(layer)


def search_states(specimens: SpecimenRows) -> SearchStates:
    """The latest search decides, be it of the accession or of the part alone; of one day the one recorded last."""
    states: dict[Layer, ByteColumn] = {}
    rows = select(
        "SELECT layer, accession_id, COALESCE(part_id, -1), state FROM verdicts_search ORDER BY searched_on, id"
    )
    for number, accession, part, state in rows:
        column = states.setdefault(Layer(number), np.zeros(len(specimens), np.uint8))
        own = specimens.accession == accession
        if part >= 0:
            own &= specimens.part == part
        column[own] = state
    return SearchStates(states)
