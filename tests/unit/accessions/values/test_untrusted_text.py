"""No text may raise, or take long: cells come from strangers."""

import time
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from accessions.values import (
    canonical_name,
    clean,
    is_blank,
    read_count,
    read_date,
    read_event_date,
    read_footprint,
    read_label_date,
    read_name,
    read_position,
    read_radius_m,
    split_list,
    split_people,
    written_span,
)

READERS: dict[str, Callable[[str], object]] = {
    "read_event_date": read_event_date,
    "written_span": written_span,
    "read_label_date": read_label_date,
    "eventDate": lambda t: read_date(t, "12.vi.2023", "2023"),
    "verbatimEventDate": lambda t: read_date("2023", t),
    "year": lambda t: read_date("2023-06", year=t, month=t, day=t),
    "year alone": lambda t: read_date(verbatim=t, year=t, month="6"),
    "month and day": lambda t: read_date(year="2023", month=t, day=t),
    "decimals": lambda t: read_position(decimal_latitude=t, decimal_longitude=t, datum=t, coordinate_precision=t),
    "verbatimCoordinates": lambda t: read_position(verbatim_coordinates=t),
    "verbatimCoordinates in a grid": lambda t: read_position(verbatim_coordinates=t, verbatim_srs="EPSG:27700"),
    "verbatimCoordinates in UTM": lambda t: read_position(verbatim_coordinates="17T " + t, verbatim_system="UTM"),
    "verbatimLatitude": lambda t: read_position(verbatim_latitude=t, verbatim_longitude=t, verbatim_srs=t),
    "verbatimCoordinateSystem": lambda t: read_position(verbatim_coordinates="9.93N 84.08W", verbatim_system=t),
    "read_radius_m": read_radius_m,
    "footprintWKT": lambda t: read_footprint(t, "EPSG:4326"),
    "footprintWKT of points": lambda t: read_footprint(f"POLYGON (({t}))", t),
    "footprintSRS": lambda t: read_footprint("POLYGON ((10 20, 11 20, 11 21, 10 20))", t, fallback_datum=t),
    "counts": lambda t: read_count(t, unit=t, basis_of_record=t),
    "countRange": lambda t: read_count(count_range=t, organism_quantity=t),
    "scientificName": lambda t: read_name(t, authorship=t, taxon_rank=t),
    "rank columns": lambda t: read_name("Aus bus", kingdom=t, order=t, family=t, genus=t, specific_epithet=t),
    "genus alone": lambda t: read_name(genus=t, specific_epithet=t, infraspecific_epithet=t),
    "higherClassification": lambda t: read_name("Aus bus", higher_classification=t),
    "qualifier": lambda t: read_name("Aus bus", identification_qualifier=t, verbatim_identification=t),
    "canonical_name": canonical_name,
    "lists": split_list,
    "people": split_people,
    "blanks": lambda t: (is_blank(t), clean(t)),
}

# Letters of the forms themselves reach deeper than arbitrary text does.
NEAR_FORMS = st.text(alphabet="0123456789-/.:TZXW+PYMD?~% IVXivx,;°'\"NSEWabusé×()|&nfc", max_size=60)


@pytest.mark.parametrize("name", READERS)
def test_no_text_raises(name: str) -> None:
    reader = READERS[name]

    @settings(max_examples=100)
    @given(st.one_of(st.text(max_size=60), NEAR_FORMS))
    def reads(text: str) -> None:
        assert repr(reader(text)) == repr(reader(text))  # and it says the same again (NaN included)

    reads()


MILLION = 1_000_000
GIANTS = {
    "digits": "1" * MILLION,
    "blanks": " " * MILLION,
    "words": "Aus " * (MILLION // 4),
    "dates": "2023-06-12/" * (MILLION // 11),
    "roman": "x." * (MILLION // 2),
    "angles": "41 05 54S " * (MILLION // 10),
    "brackets": "POLYGON ((" + "(" * MILLION,
    "points": "POLYGON ((" + "1 1, " * (MILLION // 5) + "1 1))",
    "bars": "a|" * (MILLION // 2),
    "questions": "?" * MILLION,
}
LONGEST_SECONDS = 0.05


@pytest.mark.parametrize("giant", GIANTS)
@pytest.mark.parametrize("name", READERS)
def test_a_giant_cell_is_refused_at_once(name: str, giant: str) -> None:
    reader, text = READERS[name], GIANTS[giant]
    reader("1")  # imports do not count
    seconds = []
    for _ in range(3):  # the best of three, and of its own processor alone: others may be at work beside it
        start = time.thread_time()
        reader(text)
        seconds.append(time.thread_time() - start)
        if seconds[-1] < LONGEST_SECONDS:
            break
    assert min(seconds) < LONGEST_SECONDS
