"""How long the past of a large register takes: 1,000,000 specimens, 2,000,000 rows of history.

    python -m tests.bench.run_audit --database audit.sqlite3
    python -m tests.bench.run_audit --specimens 10000 --database small.sqlite3

An empty database is filled first (``audit_register``); one that is there is used as it is.
"""

from __future__ import annotations

import argparse
import os
import secrets
import time
from pathlib import Path

import django


def main() -> None:
    options = _options()
    path = Path(options.database).resolve()
    os.environ["DATABASE_URL"] = f"sqlite:///{path}"
    os.environ.setdefault("FIELDWRIT_SECRET_KEY", secrets.token_urlsafe(64))
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "governance.config.settings")
    is_new = not path.exists()
    django.setup()
    if is_new:
        _fill(options.specimens)


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--specimens", type=int, default=1_000_000)
    parser.add_argument("--database", default="audit.sqlite3")
    return parser.parse_args()


def _fill(specimens: int) -> None:
    from django.core.management import call_command

    from tests.bench.audit_register import build_past

    call_command("migrate", verbosity=0)
    start = time.perf_counter()
    build_past(specimens, lambda what: print(f"{time.perf_counter() - start:7.1f} s  {what}", flush=True))


if __name__ == "__main__":
    main()
