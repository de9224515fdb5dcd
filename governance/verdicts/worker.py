"""The worker in the serving process: small houses need no second service. Others run ``manage.py db_worker``."""

from __future__ import annotations

import logging
import threading
import time
from itertools import count
from typing import Final

from django.conf import settings
from django.db import close_old_connections, connection

from accessions.material.models import Touch
from accessions.people.origins import coming_from

_log = logging.getLogger("governance.verdicts")
_INTERVAL_S: Final = 2.0
_TURNS_BETWEEN_LEFT: Final = 30
_started = threading.Lock()


def start_embedded() -> None:
    """Start the thread once a process, if the settings want it and tasks wait in the database."""
    backend = settings.TASKS["default"]["BACKEND"]
    if settings.FIELDWRIT_WORKER != "embedded" or not backend.startswith("django_tasks_db."):
        return
    if _started.acquire(blocking=False):
        threading.Thread(target=_work, name="fieldwrit-worker", daemon=True).start()


def _work() -> None:
    """Work off the queue for ever; a fault is written to the log, and the next turn tries again."""
    for turn in count():
        try:
            close_old_connections()
            with coming_from("background"):
                if turn % _TURNS_BETWEEN_LEFT == 0:
                    _take_up_left()
                _work_off()
        except Exception:
            _log.exception("The worker in this process failed; it tries again.")
        finally:
            connection.close()
        time.sleep(_INTERVAL_S)


def _take_up_left() -> None:
    """Marks that nobody took up and scans that nobody reads: their process was killed, or their run failed."""
    from governance.scans.tasks import enqueue_left
    from governance.verdicts.actions import take_up

    if Touch.objects.exists():
        take_up(by=None)
    enqueue_left()


def _work_off() -> None:
    """Every task in the queue, one after the other."""
    from django_tasks_db.management.commands.db_worker import Worker

    Worker(
        queue_names=["default"], interval=0, batch=True, backend_name="default", startup_delay=False, max_tasks=None,
        worker_id=f"embedded-{threading.get_ident()}", excluded_queue_names=[],
    ).run()  # fmt: skip
