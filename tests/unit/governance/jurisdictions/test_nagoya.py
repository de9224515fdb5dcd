"""Standing under the Nagoya Protocol on the day of access.

Published dates: ECOLEX TRE-155959, the UN Treaty Collection XXVII.8.b, and the Protocol's own Art. 33, as gathered in
the project's table of Parties (checked 2026-11-20).
"""

from collections import Counter
from datetime import date, timedelta

import pytest

from governance.jurisdictions import (
    NagoyaStatus,
    excluded_territories,
    is_country,
    nagoya_states,
    nagoya_status,
    party_from_deposit,
)

ONE_DAY = timedelta(days=1)


@pytest.mark.parametrize(
    ("code", "deposited", "party_since"),
    [
        ("AF", date(2018, 6, 6), date(2018, 9, 4)),
        ("SK", date(2015, 12, 29), date(2016, 3, 28)),
        ("BR", date(2021, 3, 4), date(2021, 6, 2)),
        ("GB", date(2016, 2, 22), date(2016, 5, 22)),
    ],
)
def test_a_state_is_a_party_from_the_ninetieth_day_on(code, deposited, party_since):
    """Nagoya Protocol, Art. 33(2), with published deposits and entries into force; the day before, and the day."""
    assert party_from_deposit(deposited) == party_since
    assert nagoya_status(code, party_since - ONE_DAY).status is NagoyaStatus.NOT_PARTY
    first_day = nagoya_status(code, party_since)
    assert (first_day.status, first_day.since, first_day.decides) == (NagoyaStatus.PARTY, party_since, True)


def test_nobody_is_a_party_before_the_protocol_is_in_force():
    """Art. 33(1): in force on 12 October 2014; early deposits wait for it."""
    assert party_from_deposit(date(2012, 1, 1)) == date(2014, 10, 12)
    for code in ("CH", "NP", "US", "PR", "GR"):
        before = nagoya_status(code, date(2014, 10, 11))
        assert (before.status, before.decides) == (NagoyaStatus.NOT_PARTY, True), code


def test_the_table_has_as_many_states_of_each_kind_as_its_notes_say():
    """Counts as written in the notes to the table; 51 entries date from 12 October 2014 (50 states and the EU)."""
    states = nagoya_states().values()
    assert Counter(state.listed for state in states) == {
        "party": 114,
        "party_date_from_memory": 7,
        "party_date_not_found": 9,
        "party_unverified": 10,
        "not_party_2019": 58,
    }
    assert sum(state.party_since == date(2014, 10, 12) for state in states) == 51


def test_states_from_memory_are_the_named_ones_and_never_decide():
    """The seven dates and ten accessions that the notes call from memory, on a day long after them all."""
    dates = {"NPL", "VEN", "GHA", "ERI", "MDV", "SAU", "MAR"}
    unverified = {"GRC", "KIR", "LCA", "NIC", "PRK", "ROU", "SLB", "TKM", "TON", "UKR"}
    from_memory = {state.alpha3: state for state in nagoya_states().values() if state.basis == "memory"}
    assert set(from_memory) == dates | unverified
    for state in from_memory.values():
        standing = nagoya_status(state.code, date(2026, 1, 1))
        assert standing.status is NagoyaStatus.PARTY
        assert not standing.decides


def test_party_whose_date_is_not_found_is_not_told():
    """Costa Rica is a Party, but its exact day was not found: a blank date is no date, and no "not a Party"."""
    standing = nagoya_status("CR", date(2020, 1, 1))
    assert (standing.status, standing.since, standing.decides) == (NagoyaStatus.UNKNOWN, None, False)


def test_state_that_was_no_party_in_2019_may_have_joined_since():
    """UN SDG 15.6.1 data, 2019.Q1 (values for 2018): what it says ends there."""
    known = nagoya_status("AU", date(2018, 12, 31))
    later = nagoya_status("AU", date(2019, 1, 1))
    assert (known.status, known.decides) == (NagoyaStatus.NOT_PARTY, True)
    assert (later.status, later.decides) == (NagoyaStatus.UNKNOWN, False)


@pytest.mark.parametrize(("territory", "state"), [("FO", "DK"), ("GL", "DK"), ("HK", "CN"), ("MO", "CN")])
def test_territories_that_an_instrument_leaves_out_stand_for_themselves(territory, state):
    """Austrian BGBl III 135/2018: as at 2018. The state is a Party, the territory is not; later nobody looked."""
    assert excluded_territories()[territory].state == state
    assert nagoya_status(state, date(2017, 6, 1)).status is NagoyaStatus.PARTY
    left_out = nagoya_status(territory, date(2017, 6, 1))
    assert (left_out.status, left_out.decides) == (NagoyaStatus.NOT_PARTY, True)
    assert not nagoya_status(territory, date(2024, 6, 1)).decides


@pytest.mark.parametrize("code", ["GF", "PR", "", "Atlantis"])
def test_codes_without_an_entry_are_unknown(code):
    standing = nagoya_status(code, date(2020, 1, 1))
    assert (standing.status, standing.decides, standing.checked_on) == (NagoyaStatus.UNKNOWN, False, None)


def test_every_entry_has_a_source_a_day_and_a_code():
    for state in nagoya_states().values():
        assert state.source
        assert state.checked_on == date(2026, 11, 20)
        assert is_country(state.code) or state.code == "EU"  # the EU is a Party with a reserved code
