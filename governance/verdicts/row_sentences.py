"""The sentence of a row, with the words of the event and the name that were judged.

The words of the specimen page come from reading the event anew (``sentences.words_of``), which takes milliseconds. A
list does that only where what is written does not already say it.
"""

from __future__ import annotations

from typing import Any

from accessions.material.models import SamplingEvent
from accessions.names.models import WrittenName
from governance.engine.explain import Words, distance, fill
from governance.engine.tables import HouseRules
from governance.verdicts.models import Standing
from governance.verdicts.sentences import words_of

_PLAIN_DATUMS = frozenset({"wgs84", "wgs 84", "epsg:4326"})


class SentenceFiller:
    """Fills the sentences of a page or a file; what was read of an event once is kept."""

    def __init__(self) -> None:
        self._read: dict[int, Words] = {}

    def fill(self, sentence: str, standing: Standing) -> str:
        """A sentence of an outcome for the specimen of this standing."""
        if "{" not in sentence:
            return sentence
        plain = _plain_words(standing.event, standing.name)
        if all(f"{{{word}}}" not in sentence for word in _OPEN.difference(plain)):
            return fill(sentence, plain)
        if standing.event_id not in self._read:
            self._read[standing.event_id] = words_of(standing.event, standing.name, _house(standing.run.house))
        return fill(sentence, self._read[standing.event_id] | {"name": plain["name"]})


_OPEN = frozenset({"when", "hint", "where", "country", "reach"})


def _plain_words(event: SamplingEvent, name: WrittenName) -> Words:
    """The words that stand as they are written; the others are left out."""
    words = {
        "name": name.scientific_name or name.shown or "a specimen without a name",
        "methods": ", ".join(filter(None, map(str.strip, event.sampling_protocol.split("|")))),
        "people": ", ".join(filter(None, map(str.strip, event.recorded_by.split("|")))),
    }
    date = event.event_date.strip()
    if date and len(date) <= 60 and all(c.isdigit() or c in "-/:.TZ+" for c in date):
        words["when"] = date
    if event.radius_m and event.geodetic_datum.strip().casefold() in _PLAIN_DATUMS and not event.footprint_wkt:
        words["reach"] = f"±{distance(event.radius_m)}"
    return words


def _house(record: dict[str, Any]) -> HouseRules | None:
    """The house rules that the run kept."""
    if not record:
        return None
    return HouseRules(record["assumed_radius_m"], record["datum_allowance_m"])
