"""One commit of the batch that a test prepared, in a process of its own.

python -m tests.integration.accessions.committing BATCH [stop]

With ``stop`` the process stands still just before the end of the transaction, says so and waits to be killed.
"""

from __future__ import annotations

import sys
import time

import django


def main(key: int, stops: bool) -> None:
    django.setup()
    from accessions.intake.actions import IntakeError, commit
    from accessions.intake.models import Batch
    from accessions.people.models import User

    if stops:
        _stand_still()
    try:
        commit(batch=Batch.objects.get(pk=key), by=User.objects.get(), why="Committed in a process of its own")
    except IntakeError as refused:
        print(f"refused: {refused}", flush=True)
    else:
        print("committed", flush=True)


def _stand_still() -> None:
    """All rows are written and nothing is committed when the summary of the batch is made."""
    module = sys.modules["accessions.intake.actions.commit"]

    def summary(*_args: object) -> dict[str, int]:
        print("all rows written", flush=True)
        time.sleep(600)
        return {}

    module._summary = summary  # type: ignore[attr-defined]


if __name__ == "__main__":
    main(int(sys.argv[1]), "stop" in sys.argv[2:])
