"""How long it takes to compose a report of a country with 200,000 specimens, 300 papers and 2,000 uses, and how much
memory.

    python -m tests.bench.run_reports --database reports.sqlite3
    python -m tests.bench.run_reports --specimens 10000 --database small.sqlite3

An empty database is filled first (``reports_register``); one that is there is used as it is. The report is held against
a plain script (peer H) that makes its main totals with pandas, in the same run; each in a process of its own. "issued"
is the whole way, from the register to the frozen report with its files.
"""

from __future__ import annotations

import argparse
import json
import os
import secrets
from datetime import date
from pathlib import Path
from typing import Any

import django

from tests.bench.measure import in_child, machine, table, timed

TODAY = date(2026, 11, 26)


def main() -> None:
    options = _options()
    path = Path(options.database).resolve()
    os.environ["DATABASE_URL"] = f"sqlite:///{path}"
    os.environ.setdefault("FIELDWRIT_SECRET_KEY", secrets.token_urlsafe(64))
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "governance.config.settings")
    is_new = not path.exists()
    django.setup()
    if options.child:
        print(json.dumps(_child(options.child)))
        return
    if is_new:
        _fill(options.specimens, options.uses)
    print(f"Machine: {machine('django', 'pandas')}.\n")
    print(_table(options.database))


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--specimens", type=int, default=200_000)
    parser.add_argument("--uses", type=int, default=2_000)
    parser.add_argument("--database", default="reports.sqlite3")
    parser.add_argument("--child", choices=("provider", "benefits", "issued", "peer"), default="")
    return parser.parse_args()


def _fill(specimens: int, uses: int) -> None:
    from django.core.management import call_command

    from tests.bench.reports_register import build_country

    call_command("migrate", verbosity=0)
    build_country(specimens, lambda what: print(what, flush=True), uses)


def _table(database: str) -> str:
    found = {name: in_child("tests.bench.run_reports", "--database", database, "--child", name)
             for name in ("provider", "benefits", "issued", "peer")}  # fmt: skip
    peer = found["peer"]
    differ = {key: (value, found["provider"]["totals"].get(key, 0)) for key, value in peer["totals"].items()
              if value != found["provider"]["totals"].get(key, 0)}  # fmt: skip
    if differ:
        raise SystemExit(f"the report and its peer do not agree, so nothing was measured: {differ}")
    rows = [
        [name, f"{one['cpu_seconds']:.1f}", f"{one['seconds']:.1f}", f"{one['cpu_seconds'] / peer['cpu_seconds']:.2f}",
         f"{one['peak_mib']:.0f}", f"{one['rows']:,}"]
        for name, one in found.items()
    ]  # fmt: skip
    return table(["subject", "CPU s", "s", "times peer H", "peak MiB", "rows"], rows)


def _child(name: str) -> dict[str, Any]:
    """What one subject costs, and the totals it comes to."""
    if name == "peer":
        from tests.bench import peer_h_reports
        from tests.bench.reports_register import COUNTRY

        totals, cost = timed(lambda: peer_h_reports.totals(COUNTRY))
        rows = 0
    elif name == "issued":
        report, cost = timed(issued_report)
        totals, rows = {}, sum(report.tables.values_list("row_count", flat=True))
    else:
        composed, cost = timed(lambda: composed_report(name))
        totals = totals_of(composed)
        rows = sum(len(one.rows) for one in composed.tables.values())
    return {"totals": totals, "rows": rows, "seconds": cost.seconds, "cpu_seconds": cost.cpu_seconds,
            "peak_mib": cost.peak_mib}  # fmt: skip


def composed_report(kind: str) -> Any:
    """A report on the country of the bench, of all days."""
    from accessions.people.models import User
    from governance.reports.composing import compose
    from governance.reports.models import Report
    from tests.bench.reports_register import COUNTRY

    report = Report(reference="BENCH", kind=kind, country=COUNTRY)
    return compose(report, reader=User.objects.get(username="desk-bench"), today=TODAY)


def issued_report() -> Any:
    """The same, the whole way: composed, its rows kept, document and workbook written, all of it frozen."""
    from accessions.people.models import User
    from governance.reports.actions.drafting import add_draft
    from governance.reports.actions.issuing import issue
    from tests.bench.reports_register import COUNTRY

    by = User.objects.get(username="desk-bench")
    values = {"reference": f"BENCH-{secrets.token_hex(4)}", "country": COUNTRY, "language": "en"}
    return issue(report=add_draft(kind="provider", values=values, by=by), by=by, today=TODAY)


def totals_of(composed: Any) -> dict[str, int]:
    """The figures that are whole numbers, by key."""
    return {one.key: int(one.value) for one in composed.contents.figures if one.value.isdigit()}


if __name__ == "__main__":
    main()
