"""Cut-off days: each with its source, and never more sure than the source is.

Published days: the Convention on Biological Diversity, in force 29 December 1993 (ECOLEX TRE-001148); the Nagoya
Protocol, Art. 33(1), in force 12 October 2014 (UN Treaty Collection XXVII.8.b).
"""

from datetime import date

import pytest

from governance.engine.tables import Layer
from governance.jurisdictions import cut_offs, cut_offs_of, is_country, nagoya_states


def test_the_treaties_have_their_published_days():
    days = {cut_off.code: (cut_off.day, cut_off.decides) for cut_off in cut_offs()}
    assert days["cbd-in-force"] == (date(1993, 12, 29), True)
    assert days["nagoya-in-force"] == (date(2014, 10, 12), True)


@pytest.mark.parametrize("cut_off", cut_offs(), ids=lambda cut_off: cut_off.code)
def test_each_day_has_a_layer_a_place_and_a_source(cut_off):
    assert Layer.from_code(cut_off.layer)
    assert cut_off.country == "" or is_country(cut_off.country)
    assert cut_off.source
    assert cut_off.what
    assert cut_off.checked_on >= date(2026, 11, 20)


def test_what_is_from_memory_decides_nothing():
    from_memory = [cut_off.code for cut_off in cut_offs() if cut_off.basis == "memory"]
    assert from_memory == ["cites-in-force", "eu-user-duties"]
    assert not any(cut_off.decides for cut_off in cut_offs() if cut_off.code in from_memory)


@pytest.mark.parametrize(
    ("country", "since"), [("SE", date(2016, 12, 7)), ("NA", date(2014, 10, 12)), ("CU", date(2015, 12, 16))]
)
def test_a_country_has_the_day_on_which_it_became_a_party(country, since):
    """Days as ECOLEX TRE-155959 gives them (checked 2026-11-20)."""
    own = [cut_off for cut_off in cut_offs_of(country) if cut_off.country == country]
    assert [(cut_off.day, cut_off.layer) for cut_off in own] == [(since, "access")]
    assert [cut_off.day for cut_off in cut_offs_of(country)] == sorted(c.day for c in cut_offs_of(country))


def test_a_country_whose_day_is_not_known_has_none_of_its_own():
    """Costa Rica is a Party of which the exact day was not found; an unknown country has what holds everywhere."""
    assert nagoya_states()["CR"].party_since is None
    for country in ("CR", "", "XX"):
        assert cut_offs_of(country) == cut_offs()
