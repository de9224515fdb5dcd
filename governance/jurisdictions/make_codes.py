"""Make ``data/iso3166.json`` from pycountry. Run by hand after an update of pycountry:

    python -m governance.jurisdictions.make_codes

The file holds bare codes; names stay with pycountry, which reads them only when a name is asked for.
"""

from __future__ import annotations

import json
from datetime import date
from importlib.metadata import version
from pathlib import Path

import pycountry


def main() -> None:
    record = {
        "source": f"ISO 3166-1 and ISO 3166-2 codes as listed in pycountry {version('pycountry')}",
        "checked_on": date.today().isoformat(),
        "basis": "published",
        "alpha3": {
            country.alpha_3: country.alpha_2 for country in sorted(pycountry.countries, key=lambda c: c.alpha_3)
        },
        "subdivisions": " ".join(sorted(entry.code for entry in pycountry.subdivisions)),
    }
    path = Path(__file__).parent / "data" / "iso3166.json"
    path.write_text(json.dumps(record, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
