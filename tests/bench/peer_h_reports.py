"""Peer H: the totals of a report as a script with pandas would make them, over the same tables of the same database.

It joins what the report joins (material with its event, name, accession, verdict and whereabouts; exceptions; items of
uses) and counts; it knows nothing of papers that bear by sites, of restriction, of words in sentences, and of maps.
"""

from __future__ import annotations

import pandas as pd
from django.db import connection

_MATERIAL = """
SELECT s.id, s.catalog_number, s.kind, s.count_low, s.parent_id, a.number AS accession, n.shown AS taxon,
  e.earliest_on, e.latest_on, e.locality, e.latitude_deg, e.longitude_deg, e.site_id, t.code AS site,
  v.worst, v.ruling_id
FROM material_specimen s JOIN material_samplingevent e ON e.id = s.event_id
JOIN material_accession a ON a.id = s.accession_id JOIN names_writtenname n ON n.id = s.name_id
LEFT JOIN sites_site t ON t.id = e.site_id LEFT JOIN verdicts_standing v ON v.specimen_id = s.id
WHERE e.country = %s
"""
_ITEMS = """
SELECT i.specimen_id, i.use_id, i.returned_id, i.is_used_up, u.deed, u."on", r.name AS recipient
FROM usedesk_useitem i JOIN usedesk_madeuse u ON u.id = i.use_id
LEFT JOIN usedesk_recipient r ON r.id = u.recipient_id WHERE u.voided_at IS NULL
"""
_OPEN = """
SELECT l.ruling_id, l.layer, o.verdict, f.sentence FROM verdicts_rulinglayer l
JOIN verdicts_outcome o ON o.id = l.outcome_id
LEFT JOIN verdicts_outcomefinding f ON f.outcome_id = o.id AND f.position = 0 WHERE o.verdict > 1
"""
_FOR_GOOD = ("retention", "gift", "exchange", "disposal", "return")


def totals(country: str) -> dict[str, int]:
    """The numbers by the keys of the figures."""
    material, items, layers = _read(_MATERIAL, [country]), _read(_ITEMS), _read(_OPEN)
    items = items.merge(material[["id", "accession", "taxon"]], left_on="specimen_id", right_on="id")
    material = _with_whereabouts(material, items)
    exceptions = material.merge(layers, on="ruling_id")
    rows = [list(frame.itertuples(index=False, name=None)) for frame in (material, exceptions, items)]
    loans = items[items.deed == "loan"]
    return {
        "specimens": len(rows[0]),
        "individuals": int(material[material.parent_id.isna()].count_low.sum()),
        "taxa": material.taxon.replace("", None).nunique(),
        "accessions": material.accession.nunique(),
        "exceptions": len(rows[1]),
        "used_specimens": items[items.deed != "loss"].specimen_id.nunique(),
        "lent": len(loans),
        "lent_back": int(loans.returned_id.notna().sum()),
        "now_out": int((material.now == "out").sum()),
        "now_gift": int((material.now == "gift").sum()),
        "now_here": int((material.now == "here").sum()),
        "losses": int((items.deed == "loss").sum()),
    }


def _read(sql: str, parameters: list[str] | None = None) -> pd.DataFrame:
    with connection.cursor() as cursor:
        cursor.execute(sql, parameters or [])
        return pd.DataFrame(cursor.fetchall(), columns=[column[0] for column in cursor.description])


def _with_whereabouts(material: pd.DataFrame, items: pd.DataFrame) -> pd.DataFrame:
    left = items[items.deed.isin(_FOR_GOOD) | items.is_used_up.astype(bool)].sort_values("on")
    out = items[(items.deed == "loan") & items.returned_id.isna() & ~items.specimen_id.isin(left.specimen_id)]
    now = pd.concat([out.assign(now="out"), left.assign(now=left.deed.where(left.deed.isin(_FOR_GOOD), "lost"))])
    now = now.drop_duplicates("specimen_id", keep="last")[["specimen_id", "now", "recipient"]]
    joined = material.merge(now, left_on="id", right_on="specimen_id", how="left")
    return joined.assign(now=joined.now.fillna("here"))
