"""What a change of a site touches: events that stand at it or write its code or name, papers that name it."""

from __future__ import annotations

from collections.abc import Collection

from governance.engine.tables import fold
from governance.verdicts.feed.rows import select, select_by_keys


def site_keys_ever(sites: Collection[int]) -> set[str]:
    """Codes and names that the sites have or had, folded."""
    found: set[str] = set()
    for table in ("sites_site", "sites_historicalsite"):
        rows = select_by_keys(f"SELECT code_key, name_key FROM {table} WHERE id IN", sorted(sites))
        found.update(key for row in rows for key in row if key)
    return found


def events_at(sites: Collection[int], names: Collection[str]) -> set[int]:
    """Events that stand at one of the sites, or write one of the codes or names."""
    rows = select("SELECT id, location_id, site_name, site_id FROM material_samplingevent")
    return {pk for pk, code, name, site in rows if site in sites or fold(code) in names or fold(name) in names}


def papers_naming(names: Collection[str]) -> set[int]:
    """Papers of which a version names one of the sites."""
    rows = select(
        "SELECT DISTINCT v.paper_id, p.site FROM papers_versionplace p "
        "JOIN papers_paperversion v ON v.id = p.version_id WHERE p.site <> ''"
    )
    return {paper for paper, site in rows if fold(site) in names}
