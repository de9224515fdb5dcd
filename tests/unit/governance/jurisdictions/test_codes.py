"""ISO 3166 codes.

Counts and examples: ISO 3166 as carried by pycountry 26.2.16 (249 alpha-2 codes), Darwin Core's countryCode, and the
TDWG Biodiversity Data Quality draft standard (GL, US, XZ, ZZ valid; GRL and Austria not).
"""

import subprocess
import sys
from pathlib import Path

import pycountry
import pytest

from governance.jurisdictions import (
    country_codes,
    country_name,
    is_country,
    is_country_code_of_darwin_core,
    is_subdivision,
    nearest,
    subdivision_codes,
    subdivision_name,
)


def test_there_are_249_country_codes():
    assert len(country_codes()) == 249


def test_bare_codes_are_those_of_the_reference_library():
    assert country_codes() == {country.alpha_2 for country in pycountry.countries}
    assert subdivision_codes() == {entry.code for entry in pycountry.subdivisions}


@pytest.mark.parametrize("code", ["GL", "US", "XZ", "ZZ"])
def test_codes_that_country_code_may_hold(code):
    assert is_country_code_of_darwin_core(code)


@pytest.mark.parametrize("code", ["GRL", "Austria", "XK", "", "us", "EU"])
def test_codes_that_country_code_may_not_hold(code):
    assert not is_country_code_of_darwin_core(code)


def test_high_seas_and_unknown_are_no_countries():
    assert not is_country("XZ")
    assert not is_country("ZZ")
    assert country_name("XZ") == "high seas"


@pytest.mark.parametrize(("code", "name"), [("US-MT", "Montana"), ("AR-X", "Córdoba"), ("GB-SCT", "Scotland")])
def test_subdivisions_named_in_the_standard(code, name):
    assert is_subdivision(code)
    assert subdivision_name(code) == name


def test_a_territory_may_have_both_kinds_of_code():
    """ISO 3166: SJ and NO-21 Svalbard, GF and FR-973 Guyane."""
    assert {"SJ", "GF"} <= country_codes()
    assert {"NO-21", "FR-973"} <= subdivision_codes()


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("GRL", "GL"),
        ("Austria", "AT"),
        ("UK", "GB"),
        (" gl ", "GL"),
        ("us_mt", "US-MT"),
        ("CR-SJO", "CR-SJ"),
        ("FR", "FR"),
        ("QQ", None),
        ("nowhere at all", None),
        ("ZZ-1", None),
        ("", None),
        ("A" * 1_000_000, None),
    ],
)
def test_nearest_code_is_proposed(written, meant):
    """BDQ names GRL and Austria as invalid; the other spellings are common practice, no source."""
    assert nearest(written) == meant


def test_name_of_a_code_that_is_none_is_the_code():
    assert country_name("XK") == "XK"
    assert country_name("CH") == "Switzerland"
    assert subdivision_name("US-XX") == "US-XX"


def test_codes_come_without_the_slow_library():
    """Start-up matters: pycountry and shapely stay unread until a name or an outline is asked for."""
    program = (
        "import sys, governance.jurisdictions as j; assert j.is_country('CH') and j.is_subdivision('US-MT'); "
        "assert not {'pycountry', 'shapely', 'yaml', 'django'} & set(sys.modules)"
    )
    root = Path(__file__).parents[4]
    run = subprocess.run([sys.executable, "-c", program], cwd=root, check=False, capture_output=True, text=True)
    assert run.returncode == 0, run.stderr
