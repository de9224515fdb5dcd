"""Text cells read into facts: dates, places, counts, names, people and lists.

Pure: no Django, no files, no clock. Nothing is guessed: what can be read in more than one way is not read, and a hint
says why. Forms and imports call the same readers, so that the screen and the spreadsheet give the same error.
"""

from accessions.values.blanks import clean, is_blank
from accessions.values.coordinates import (
    FootprintRead,
    PositionRead,
    precision_radius_m,
    read_footprint,
    read_position,
    read_radius_m,
)
from accessions.values.counts import CountRead, read_count
from accessions.values.dates import DateRead, read_date, read_event_date, read_label_date, written_span
from accessions.values.lists import split_list
from accessions.values.names import NameRead, canonical_name, read_name
from accessions.values.people import split_people

__all__ = [
    "CountRead",
    "DateRead",
    "FootprintRead",
    "NameRead",
    "PositionRead",
    "canonical_name",
    "clean",
    "is_blank",
    "precision_radius_m",
    "read_count",
    "read_date",
    "read_event_date",
    "read_footprint",
    "read_label_date",
    "read_name",
    "read_position",
    "read_radius_m",
    "split_list",
    "split_people",
    "written_span",
]
