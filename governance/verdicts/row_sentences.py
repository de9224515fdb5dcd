"""The words of a specimen in the first sentence of its row: what the event and the name say, without reading them anew."""

from __future__ import annotations

from accessions.material.models import Specimen
from governance.engine.explain import fill

_LONGEST = 60


def row_sentence(sentence: str, specimen: Specimen) -> str:
    """A sentence of an outcome with the words of this specimen. The page of the specimen has the findings in full."""
    event = specimen.event
    words = {
        "name": specimen.name.scientific_name or specimen.name.shown or "a specimen without a name",
        "when": _quoted(event.event_date or event.verbatim_event_date),
        "hint": "",
        "where": _quoted(" ".join(filter(None, (event.decimal_latitude, event.decimal_longitude)))) or "none given",
        "country": event.country_code,
        "reach": f"±{event.radius_m:.0f} m" if event.radius_m else "the house rule",
        "methods": event.sampling_protocol.replace(" | ", ", "),
        "people": event.recorded_by.replace(" | ", ", "),
    }
    return fill(sentence, words)


def _quoted(text: str) -> str:
    shown = text if len(text) <= _LONGEST else f"{text[: _LONGEST - 3]}..."
    return shown if all(c.isdigit() or c in "-/:.TZ+" for c in shown) else f'"{shown}"'
