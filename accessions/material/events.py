"""Sampling events found by what they state, or made, many at a time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from accessions.material.models import SamplingEvent
from accessions.material.reading import EVENT_TERMS, READ_COLUMNS, read_event
from accessions.people.bulk import found_by, insert, reserve_keys

Written = Mapping[str, str]


def known_events(digests: Sequence[str]) -> dict[str, int]:
    """Primary keys of the events that are there, by digest. One query."""
    return dict(found_by(SamplingEvent, "digest", digests, "digest", "id"))


def place_events(
    events: Mapping[str, Written], site_of: Mapping[str, int | None], *, by: Any, why: str
) -> tuple[dict[str, int], int]:
    """Primary keys of events by digest, and how many were made for it.

    Args:
        events: written columns (text by term) by digest.
        site_of: the site of each event that is not there yet, by digest.
    """
    keys = known_events(list(events))
    new = [digest for digest in events if digest not in keys]
    reserved = reserve_keys(SamplingEvent, len(new))
    rows = (
        (
            *(events[digest].get(term, "") for term in EVENT_TERMS),
            *read_event(events[digest]).columns(),
            digest,
            site_of.get(digest),
        )
        for digest in new
    )
    written = [SamplingEvent.COLUMN_OF_TERM[term] for term in EVENT_TERMS]
    insert(SamplingEvent, (*written, *READ_COLUMNS, "digest", "site_id"), rows, reserved, by=by, why=why)
    keys.update(zip(new, reserved, strict=True))
    return keys, len(new)
