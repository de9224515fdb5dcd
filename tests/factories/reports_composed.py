"""Composed reports made by hand, without a database: small ones of each kind, and one of many rows. All is invented."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from typing import Any

from governance.reports.contents import (
    DISTINCT,
    SUM,
    ColumnType,
    Composed,
    Contents,
    Disclosure,
    Fact,
    Figure,
    MapData,
    Note,
    Point,
    Proof,
    Row,
    TableData,
    figure,
)
from governance.reports.tables import COLUMNS, PARTS, table

MUSEUM = "Lindmark Museum of Natural History"
PERIOD = ("2024-01-01", "2025-12-31")
MADE_ON = "2026-11-26"
FINDING = "Collected 3 days after the end date of LND-2024-117."


def row(key: str, **values: Any) -> Row:
    """A row of a table by its columns; those that are not told are blank."""
    unknown = set(values) - {column.key for column in COLUMNS[key]}
    if unknown:
        raise KeyError(f"table {key} has no columns {sorted(unknown)}")
    return tuple(values.get(column.key) for column in COLUMNS[key])


def specimen(number: int, **values: Any) -> Row:
    """A specimen in the collection, in order by its papers."""
    told = {
        "specimen": f"LMN-FW-{number:07d}", "accession": "2024-031", "kind": "specimen", "individuals": 1,
        "taxon": "Unio crassus", "first_on": "2024-06-17", "last_on": "2024-06-17", "site": "SITE-7, Nazvri weir",
        "locality": "left bank below the weir", "latitude_deg": "42.084", "longitude_deg": "43.903", "taken_from": "",
        "now": "here", "holder": "", "verdict": "in-order", "in_period": "in",
    }  # fmt: skip
    return row("material", **told | values)


def composed(kind: str, tables: Sequence[TableData], *, figures: Iterable[Figure] = (), **fields: Any) -> Composed:
    """A report with these tables, of Georgia and two years."""
    told: dict[str, Any] = {
        "reference": "R-2026-014", "subject": "GE", "country": "GE", "made_on": MADE_ON, "period_from": PERIOD[0],
        "period_to": PERIOD[1], "disclosure": Disclosure("Georgia", "exact"), "parts": PARTS[kind],
    }  # fmt: skip
    contents = Contents(kind=kind, figures=tuple(figures), **told | fields)
    return Composed(contents, {one.key: one for one in tables})


MATERIAL = table("material", [
    specimen(198341), specimen(198342, taxon="Calopteryx splendens", individuals=3),
    specimen(198343, taxon="Odonata", now="out", holder="Institute for Lakes", verdict="cannot-tell"),
    specimen(198344, first_on="2024-06-17", last_on="2024-06-20", verdict="outside"),
    specimen(198344, specimen="LMN-FW-0198344-T1", kind="part", individuals=None, taken_from="LMN-FW-0198344"),
    specimen(198345, first_on=None, last_on=None, site=None, locality=None, latitude_deg=None, longitude_deg=None,
             accession="2025-002", verdict="missing", in_period="not-known"),
])  # fmt: skip

PAPERS = table("papers", [
    row("papers", paper="ABS-2024-009", kind="mutually-agreed-terms", issuer="Nazvri Directorate of Environment",
        issued_on="2024-02-01", valid_from="2024-05-01", valid_to="2026-12-31", state="in-force", specimens=4),
    row("papers", paper="LND-2024-117", kind="landowner-consent", issuer="[…]", issued_on=None, valid_from=None,
        valid_to="2024-06-14", state="ended", specimens=1),
])  # fmt: skip

UNKNOWN = table("unknown", [
    row("unknown", question="undated", specimen="LMN-FW-0198345", accession="2025-002"),
    row("unknown", question="unidentified", specimen="LMN-FW-0198343", accession="2024-031"),
    row("unknown", question="terms-unread", paper="ABS-2024-009"),
])  # fmt: skip

USES = table("uses", [
    row("uses", entry="SQ-2025-01", deed="sequencing", on="2025-03-02", title="COI of two mussels",
        recipient="Lab & Co", country="IS", specimens=2, commercial="no", answer="with-duties", outside="no"),
])  # fmt: skip

PUBLICATIONS = table("publications", [
    row("publications", entry="PB-2025-01", on="2025-09-01", doi="10.5555/zz.2025.1", specimens=4, acknowledged="yes",
        citation="Berglind, T. & Vera, S. (2025). Mussels of the Nazvri. Journal of Invented Rivers 3: 1–20."),
])  # fmt: skip

DEPOSITS = table("deposits", [
    row("deposits", on="2025-06-03", depository="Nazvri Field Station", country="GE", accession="2024-031",
        specimens=131, what="duplicates", receipt="NFS 12/2025", receipt_on="2025-06-10", paper="ABS-2024-009"),
    row("deposits", on="2026-01-03", depository="Nazvri Field Station", country="GE", specimens=2, what="holotypes"),
])  # fmt: skip

PROMISES = table("promises", [
    row("promises", paper="ABS-2024-009", clause_number="9.1", code="N-d", what="Training of two students",
        beneficiary="Nazvri University", promised="10", given="12", open="0", unit="days", state="met"),
    row("promises", paper="ABS-2024-009", clause_number="9.5", code="M-a", what="Share of sequencing fees",
        promised="1200.50", given="0", open="1200.50", unit="EUR", due_on="2026-06-30", state="overdue"),
    row("promises", paper="ABS-2024-009", clause_number="9.3", code="N-a", what="Joint paper", state="not-measured"),
])  # fmt: skip

GIVEN = table("given", [
    row("given", on="2025-03-01", until_on="2025-03-12", code="N-d", what="Training, identification of Trichoptera",
        beneficiary="Nazvri University", country="GE", amount="12", unit="days", paper="ABS-2024-009",
        evidence="Signed list, folder 14"),
])  # fmt: skip

PROVIDER_TABLES = (
    PAPERS, MATERIAL,
    table("exceptions", [
        row("exceptions", specimen="LMN-FW-0198344", accession="2024-031", layer="land", verdict="outside",
            finding=FINDING, paper="LND-2024-117", decided=None),
        row("exceptions", specimen="LMN-FW-0198345", accession="2025-002", layer="access", verdict="missing",
            finding="No paper on file.", paper=None, decided="Asked the provider on 3 March 2026"),
    ]),
    table("remedies", [
        row("remedies", entry="SQ-2025-01", paper="ABS-2024-009", what="Ask for agreement", due_on="2026-12-01"),
    ]),
    table("movements", [
        row("movements", entry="L-2025-031", deed="loan", on="2025-02-01", due_on="2026-11-30",
            recipient="Institute for Lakes", country="IS", specimens=1, back=0, out=1, request="RQ-2025-3",
            answer="allowed", outside="no"),
    ]),
    USES,
    table("used", [
        row("used", entry="SQ-2025-01", deed="sequencing", on="2025-03-02", specimen="LMN-FW-0198344-T1",
            accession="2024-031", amount="10 mg", product="LMN-DNA-1", used_up="yes", outside="no"),
    ]),
    table("sequences", [
        row("sequences", sequence="ZZ000001", marker="COI", specimen="LMN-FW-0198344-T1", accession="2024-031",
            taxon="Unio crassus", entry="SQ-2025-01", on="2025-03-02", recipient="Lab & Co"),
    ]),
    PUBLICATIONS, DEPOSITS, PROMISES, GIVEN, table("losses", []),
    table("duties", [
        row("duties", paper="ABS-2024-009", kind="report", what="Report on the use of the material",
            due_on="2026-01-31", state="late", about_from="2025-01-01", about_to="2025-12-31"),
        row("duties", paper="ABS-2024-009", kind="copy", what="Send two copies of each publication", state="coming",
            due_on="2027-03-01"),
    ]),
    UNKNOWN,
)  # fmt: skip

SQUARE = json.dumps({"type": "Polygon", "coordinates": [
    [[43.85, 42.04], [43.98, 42.04], [43.98, 42.12], [43.85, 42.12], [43.85, 42.04]]]})  # fmt: skip
MAP = MapData((("ABS-2024-009", SQUARE),), (
    Point("SITE-7, Nazvri weir", 43.903, 42.084, 30.0), Point("Spring at Añón", 43.951, 42.071, None),
))  # fmt: skip


def provider() -> Composed:
    """Six rows of material, with something of everything, and nothing lost."""
    figures = [
        figure("papers", PAPERS), figure("specimens", MATERIAL),
        figure("individuals", MATERIAL, measure=f"{SUM}individuals"),
        figure("taxa", MATERIAL, measure=f"{DISTINCT}taxon"), figure("now_out", MATERIAL, where={"now": "out"}),
        figure("exception_specimens", PROVIDER_TABLES[2], measure=f"{DISTINCT}specimen"),
        figure("deposited_specimens", DEPOSITS, measure=f"{SUM}specimens"), figure("benefits_given", GIVEN),
        figure("given_amount", GIVEN, where={"unit": "days"}, measure=f"{SUM}amount", unit="days"),
    ]  # fmt: skip
    notes = (
        Note("exceptions_exist", "exceptions", {"n": 2}, Proof("exceptions", {}, "distinct:specimen")),
        Note("taken_not_known", "material", {"n": 1}, Proof("material", {"in_period": "not-known"})),
        Note("no_losses", "losses", {}, Proof("losses")),
        Note("share_deposited", "deposits", {
            "promised": "50", "paper": "ABS-2024-009", "percent": "62.5", "n": 133, "base": 213,
        }),
    )  # fmt: skip
    kept = (Note("kept_papers", "disclosure", {"n": 1}), Note("kept_owners", "disclosure", {"n": 3}))
    facts = (
        Fact("country", "GE", ColumnType.COUNTRY), Fact("authority", "Nazvri Directorate of Environment"),
        Fact("institution", MUSEUM), Fact("agreement", "ABS-2024-009"), Fact("author", "Tomas Berglind"),
        Fact("made_on", MADE_ON, ColumnType.DAY),
    )  # fmt: skip
    return composed(
        "provider", PROVIDER_TABLES, figures=figures, facts=facts, notes=notes, map=MAP,
        disclosure=Disclosure("Georgia", "exact", kept_back=kept),
        texts={"introduction": "The expedition of 2024 went as planned.\nWe thank the Directorate.",
               "closing": "We look forward to the next season."},
    )  # fmt: skip


def benefits() -> Composed:
    """Promised against given."""
    tables = (PAPERS, MATERIAL, USES, PUBLICATIONS, DEPOSITS, PROMISES, GIVEN, table("duties", []), UNKNOWN)
    figures = [
        figure("promises", PROMISES), figure("benefits_given", GIVEN),
        figure("promised_open", PROMISES, where={"unit": "EUR"}, measure=f"{SUM}open", unit="EUR"),
        figure("promises_overdue", PROMISES, where={"state": "overdue"}),
    ]  # fmt: skip
    return composed(
        "benefits", tables, figures=figures, subject="ABS-2024-009",
        facts=(Fact("institution", MUSEUM), Fact("agreement", "ABS-2024-009")),
        notes=(Note("promises_overdue", "benefits", {"n": 1}, Proof("promises", {"state": "overdue"})),),
        texts={"people": "Two students learned to identify caddisflies."},
    )  # fmt: skip


def agency(*, nil: str = "not-nil") -> Composed:
    """The return of a permit: two taxa, or nothing."""
    rows = [
        row("taken", taxon="Calopteryx splendens", taken=3, removed=3, released=12, salvaged=None, cap=10,
            cap_of="site", first_on="2024-06-17", last_on="2024-06-17", sites="SITE-7, Nazvri weir"),
        row("taken", taxon="Unio crassus", taken=2, removed=2, released=None, salvaged=None, cap=None,
            first_on="2024-06-17", last_on="2024-06-20", sites="SITE-7, Nazvri weir"),
    ]  # fmt: skip
    taken = table("taken", rows if nil == "not-nil" else [])
    samples = table("material", [(*one[:-2], None, "in") for one in MATERIAL.rows[:4]] if nil == "not-nil" else [])
    exceptions = table("exceptions", [
        row("exceptions", specimen="LMN-FW-0198345", accession="2024-031", layer="collecting", verdict="outside",
            finding="The permit leaves out Unio crassus.", paper="COL-2024-052", decided=None),
    ] if nil == "not-nil" else [])  # fmt: skip
    movements, uses, unknown = table("movements", []), table("uses", []), table("unknown", [])
    notes = (
        Note("cap_paper_each", "taken", {"limit": 10, "taxon": "*"}), Note("salvaged_not_told", "taken"),
        Note("findings_words", "findings", {"n": 9, "most": 250}), Note("duplicate_missing", "duplicate"),
        Note("declare_correct", "declarations"), Note("declare_no_commercial_use", "declarations"),
        Note("commercial_uses_none", "declarations"), Note("declare_no_transfer", "declarations"),
        Note("uses_by_others", "declarations", {"n": 1}), Note("sign_here", "signature"),
        *((Note("exceptions_exist", "exceptions", {"n": 1}, Proof("exceptions", {}, "distinct:specimen")),
           Note("days_not_exact", "taken", {"n": 1})) if exceptions.rows else
          (Note("exceptions_none", "exceptions", {}, Proof("exceptions")),)),
    )  # fmt: skip
    facts = (
        Fact("paper_kind", "collecting-permit", ColumnType.WORD, "paper_kinds"), Fact("paper_number", "COL-2024-052"),
        Fact("second_number", None), Fact("holder", "Tomas Berglind"), Fact("issuer", "Directorate of Nazvri"),
        Fact("issued_on", "2024-02-01", ColumnType.DAY), Fact("valid_to", "2024-12-31", ColumnType.DAY),
        Fact("institution", MUSEUM), Fact("address", "Hill Road 1\nSundvik"),
        Fact("nil_return", nil, ColumnType.WORD, "nil_answers"),
    )  # fmt: skip
    tables = (taken, exceptions, samples, movements, uses, unknown)
    return composed(
        "agency", tables, subject="COL-2024-052", facts=facts, notes=notes,
        figures=(figure("taken", taken, measure=f"{SUM}taken"), figure("taxa", taken), figure("not_known", unknown)),
        disclosure=Disclosure("agency", "exact"),
        texts={"findings": "The mussel bed below the weir is in good state."},
    )  # fmt: skip


def landowner() -> Composed:
    """Three species on one piece of land."""
    species = table("species", [
        row("species", taxon="Calopteryx splendens", specimens=2, individuals=4, first_on="2024-06-17",
            last_on="2024-06-17", site="Lower meadow", kept=MUSEUM),
        row("species", taxon="Osmoderma eremita", specimens=1, individuals=1, first_on="2024-06-17",
            last_on="2024-06-20", site="Lower meadow", kept=MUSEUM),
        row("species", taxon=None, specimens=5, individuals=5, first_on="2025-07-01", last_on="2025-07-01",
            site="Lower meadow", kept=MUSEUM),
    ])  # fmt: skip
    material = table("material", [specimen(number, site="Lower meadow", verdict=None) for number in range(1, 9)])
    return composed(
        "landowner", (species, material, table("uses", []), table("publications", []), table("unknown", [])),
        subject="Elin Dahl", country="SE", map=MapData((("Lower meadow", SQUARE),)),
        disclosure=Disclosure("landowner", "exact", names_owners=True),
        notes=(Note("thanks", "thanks", {"name": "Elin Dahl"}), Note("nothing_done", "done")),
        texts={"notable": "The hermit beetle lives in your old lime tree. It is protected in all of Europe.",
               "closing": "Warm regards,\nTomas Berglind"},
    )  # fmt: skip


def diligence() -> Composed:
    """Six fields, of which two are answered."""
    told = [
        (1, "covers", None, "not-known", "memory"), (4, "certificate_identifier", "ABSCH-IRCC-GE-123456-1", "on-face",
         "memory"), (5, "place_of_access", "GE: Kakheti; SE", "on-file", "published"),
        (9, "pic_granted_by", None, "not-needed", "memory"), (14, "confidential", None, "not-known", "memory"),
        (15, "product", None, "not-known", "published"),
    ]  # fmt: skip
    fields = table("fields", [
        row("fields", number=number, field=key, value=value, state=state, basis=basis,
            source="Implementing Regulation (EU) 2015/1866, Annex II")
        for number, key, value, state, basis in told
    ])  # fmt: skip
    return composed(
        "diligence", (fields, table("unknown", [])), subject="ABS-2024-009", period_from=None, period_to=None,
        facts=(Fact("institution", MUSEUM), Fact("paper_number", "ABS-2024-009")),
        disclosure=Disclosure("diligence", "region"),
    )  # fmt: skip


NINE = ("issuing_authority", "date_of_issuance", "provider", "unique_identifier", "pic_granted_to", "subject_matter",
        "mat_established", "pic_obtained", "use_type")  # fmt: skip


def certificate() -> Composed:
    """The nine items, two of them without an answer, and one other field."""
    told = {
        "issuing_authority": ("Nazvri Directorate of Environment", "on-face"), "provider": (None, "not-found"),
        "date_of_issuance": ("2024-02-01", "on-face"), "mat_established": ("ABS-2024-009", "yes"),
        "pic_obtained": (None, "not-stated"),
        "unique_identifier": ("ABSCH-IRCC-GE-123456-1", "on-face"), "pic_granted_to": (MUSEUM, "linked"),
        "subject_matter": ("Odonata; Unionidae", "in-terms"), "use_type": ("No sale.", "non-commercial"),
    }  # fmt: skip
    rows = [
        row("items", number=number, field=key, value=told[key][0], state=told[key][1], minimum="yes",
            source=f"Nagoya Protocol, Art. 17(4)({'abcdefghi'[number - 1]})")
        for number, key in enumerate(NINE, 1)
    ]  # fmt: skip
    rows.append(row("items", number=10, field="date_of_expiry", value="2026-12-31", state="on-face", minimum="no",
                    source="Clearing-House common format; to be confirmed at its text"))  # fmt: skip
    items = table("items", rows)
    return composed(
        "certificate", (items, table("unknown", [])), subject="ABSCH-IRCC-GE-123456-1", period_from=None,
        period_to=None, disclosure=Disclosure("certificate", "none"),
        figures=(figure("minimum_items", items, where={"minimum": "yes"}),
                 figure("minimum_not_found", items, where={"minimum": "yes", "state": "not-found"})),
        facts=(Fact("paper_number", "ABS-2024-009"), Fact("valid_to", "2026-12-31", ColumnType.DAY)),
        notes=(Note("nine_items", "items"), Note("other_fields", "items")),
    )  # fmt: skip


KINDS = {
    "provider": provider, "benefits": benefits, "agency": agency, "landowner": landowner, "diligence": diligence,
    "certificate": certificate,
}  # fmt: skip
"""A small report of each kind."""


CITATION = "Berglind, T. & Vera, S. (2020). Mussels of rivers, part {0}. Journal of Invented Rivers {0}: 1–20."
EPITHETS = ("albus", "borealis", "crassus", "dubius", "elegans", "fulvus", "gracilis", "hirtus", "insignis", "latus")


def many(specimens: int, papers: int = 300, uses: int = 2000) -> Composed:
    """A country with much of everything."""
    first = date(1998, 3, 1)
    taxa = [
        f"{genus} {epithet}" for genus in ("Unio", "Calopteryx", "Baetis", "Perla", "Elmis") for epithet in EPITHETS
    ]
    verdicts = ("in-order",) * 15 + ("cannot-tell", "straddles", "outside", "missing", "not-judged")
    nows = ("here",) * 17 + ("out", "gift", "used-up")
    days = [(first + timedelta(day)).isoformat() for day in range(0, 10_000, 3)]
    material = table("material", [
        specimen(
            number, accession=f"{1998 + number % 27}-{number % 40:03d}", taxon=taxa[number * 7 % len(taxa)],
            first_on=days[number % len(days)], last_on=days[number % len(days)], site=f"SITE-{number % 120}",
            locality=f"bank {number % 900}", verdict=verdicts[number % len(verdicts)], now=nows[number % len(nows)],
            holder="" if number % 20 < 17 else f"Institute {number % 33}",
        )
        for number in range(specimens)
    ])  # fmt: skip
    amiss = [one for one in material.rows if one[material.place("verdict")] in ("outside", "missing", "straddles")]
    tables = [
        table("papers", [row("papers", paper=f"COL-{number:04d}", kind="collecting-permit", issuer="Directorate",
                             valid_from="2001-01-01", valid_to="2030-12-31", state="in-force", specimens=number)
                         for number in range(papers)]),
        material,
        table("exceptions", [row("exceptions", specimen=one[0], accession=one[1], layer="land",
                                 verdict=one[material.place("verdict")], paper=f"COL-{place % papers:04d}",
                                 finding=f"Collected {place % 90} days after the end date of COL-{place % papers:04d}.")
                             for place, one in enumerate(amiss)]),
        table("movements", [row("movements", entry=f"L-{number}", deed="loan", on=days[number % len(days)],
                                recipient=f"Institute {number % 33}", country="IS", specimens=12, back=10, out=2,
                                answer="allowed", outside="no") for number in range(uses // 2)]),
        table("uses", [row("uses", entry=f"S-{number}", deed="sequencing", on=days[number % len(days)],
                           title=f"Barcodes of batch {number}", recipient="Lab & Co", country="IS", specimens=96,
                           answer="with-duties", outside="no") for number in range(uses // 2)]),
        table("sequences", [row("sequences", sequence=f"ZZ{number:06d}", marker="COI", taxon="Unio crassus",
                                specimen=material.rows[number][0], on="2020-01-01", recipient="Lab & Co")
                            for number in range(min(specimens, 5000))]),
        table("publications", [row("publications", entry=f"P-{number}", on="2020-01-01", specimens=4,
                                   acknowledged="yes", citation=CITATION.format(number))
                               for number in range(200)]),
        DEPOSITS, PROMISES,
        table("given", list(GIVEN.rows) * 60), table("losses", []),
        table("duties", [row("duties", paper=f"COL-{number:04d}", kind="report", what="Report", due_on="2027-01-31",
                             state="coming") for number in range(papers)]),
        table("unknown", [row("unknown", question="undated", specimen=one[0], accession=one[1])
                          for one in amiss[:9000]]),
    ]  # fmt: skip
    figures = [figure("specimens", material), figure("papers", tables[0]), figure("uses", tables[4])]
    points = tuple(Point(f"SITE-{number}", 43.0 + number / 90, 41.5 + number % 13 / 10, 100.0) for number in range(120))
    return composed("provider", tables, figures=figures, map=MapData((), points),
                    facts=(Fact("institution", MUSEUM),))  # fmt: skip
