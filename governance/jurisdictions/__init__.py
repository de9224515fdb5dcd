"""Dated law and treaty data, ISO 3166 codes and outlines. Pure: no Django, no clock, no network.

Outlines live in ``governance.jurisdictions.outlines``, which imports shapely; this face does not.
"""

from governance.jurisdictions.codes import (
    DARWIN_CORE_CODES,
    country_codes,
    country_name,
    is_country,
    is_country_code_of_darwin_core,
    is_subdivision,
    nearest,
    subdivision_codes,
    subdivision_name,
)
from governance.jurisdictions.cut_offs import CutOff, cut_offs, cut_offs_of
from governance.jurisdictions.law_values import (
    Benefit,
    CertificateField,
    CitesCode,
    DiligenceField,
    ExcludedTerritory,
    NagoyaState,
    NagoyaStatus,
    Standing,
    UnknownKeyError,
)
from governance.jurisdictions.loader import (
    benefit,
    benefits,
    certificate_fields,
    cites_codes,
    cites_last_day,
    claimed_land,
    diligence_fields,
    excluded_territories,
    nagoya_states,
    nagoya_status,
    party_from_deposit,
    territories_inside,
)
from governance.jurisdictions.schema import DataFileError

__all__ = [
    "DARWIN_CORE_CODES",
    "Benefit",
    "CertificateField",
    "CitesCode",
    "CutOff",
    "DataFileError",
    "DiligenceField",
    "ExcludedTerritory",
    "NagoyaState",
    "NagoyaStatus",
    "Standing",
    "UnknownKeyError",
    "benefit",
    "benefits",
    "certificate_fields",
    "cites_codes",
    "cites_last_day",
    "claimed_land",
    "country_codes",
    "country_name",
    "cut_offs",
    "cut_offs_of",
    "diligence_fields",
    "excluded_territories",
    "is_country",
    "is_country_code_of_darwin_core",
    "is_subdivision",
    "nagoya_states",
    "nagoya_status",
    "nearest",
    "party_from_deposit",
    "subdivision_codes",
    "subdivision_name",
    "territories_inside",
]
