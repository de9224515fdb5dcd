"""Keys of what the returns, the reports to landowners, the sheets and the checks say, by kind, for the files of words.

A test holds what is composed against these lists, and the files of words are held against them, too.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from governance.reports.composing.codes import CODES

_CAPS: Final = tuple(f"cap_{per}{each}" for per in ("paper", "year", "site", "event") for each in ("", "_each"))

FACTS: Final[Mapping[str, tuple[str, ...]]] = {
    "agency": (
        "paper_kind", "paper_number", "second_number", "holder", "issuer", "issued_on", "valid_from", "valid_to",
        "institution", "address", "nil_return",
    ),
    "landowner": ("owner", "sites", "institution", "address", "made_on"),
    "diligence": ("accession", "paper_number", "made_on"),
    "certificate": ("paper_kind", "paper_number", "valid_from", "valid_to", "paper_state"),
}  # fmt: skip

FIGURES: Final[Mapping[str, tuple[str, ...]]] = {
    "agency": (
        "taken", "removed", "released", "salvaged", "taxa", "samples", "samples_maybe", "samples_undated",
        "exception_specimens", "publications", "deposits", "transfers", "commercial_uses", "not_known",
    ),
    "landowner": (
        "specimens", "individuals", "taxa", "sites", *(f"now_{code}" for code in CODES["whereabouts"]), "uses",
        "publications", "not_known",
    ),
    "diligence": (
        "fields", "fields_not_known", "fields_in_part", "fields_kept_back", "fields_not_needed", "fields_from_memory",
        "not_known",
    ),
    "certificate": (
        "minimum_items", "minimum_not_found", "minimum_not_stated", "minimum_in_part", "minimum_confidential",
        "minimum_kept_back",
    ),
}  # fmt: skip

NOTES: Final[Mapping[str, tuple[str, ...]]] = {
    "agency": (
        "findings_words", "findings_missing", "findings_long", "duplicate_told", "duplicate_missing",
        "duplicate_on_file", "sign_here", "days_not_exact", "exceptions_exist", "exceptions_none", "verdicts_waiting",
        "not_judged",
        "uses_by_others", "kept_findings", "released_not_told", "salvaged_not_told", "text_unread", *_CAPS,
        "declare_correct",
        "declare_no_commercial_use", "commercial_uses_none", "commercial_uses_recorded", "declare_no_transfer",
        "transfers_none", "transfers_recorded", "unknown_undated", "unknown_period", "unknown_individuals",
        "unknown_unregistered", "unlinked_material", "from_specimens", "kept_papers", "kept_owners",
        "kept_localities", "kept_deposits",
    ),
    "landowner": (
        "thanks", "nothing_found", "nothing_certain", "unknown_site", "nothing_done", "passed_on", "no_boundary",
        "site_not_drawn", "days_not_exact", "unknown_undated", "unknown_tenure", "unknown_period",
        "kept_owners", "kept_recipients",
    ),
    "diligence": (
        "to_be_confirmed", "not_a_declaration", "sign_here", "certificate_of_its_user", "agreements_ended",
        "unknown_no-material", "unknown_undated", "days_not_exact", "unknown_unplaced", "kept_papers",
        "kept_whole_papers", "kept_owners", "kept_recipients", "kept_localities",
    ),
    "certificate": (
        "nine_items", "other_fields", "not_judged_here", "not_a_certificate", "identifier_form", "text_unread",
        "agreements_ended", "no_material", "kept_papers", "kept_whole_papers", "kept_owners", "kept_places",
        "kept_confidential",
    ),
}  # fmt: skip
"""kept_papers: what stands in the paper that the report is about, whose number everybody knows; kept_whole_papers:
other papers, of which not even the number is told. Values: n, a number; limit and taxon of a limit ("*": all taxa);
paper, a number of a paper; name; most, a number of words; text, the key of a text, with lines, how many of them cannot
be read."""
