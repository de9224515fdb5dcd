"""Reading in the background. On Django 6 the import below becomes ``django.tasks``."""

from __future__ import annotations

from datetime import timedelta
from typing import Final

from django.db.models import Q
from django.utils import timezone
from django_tasks import TaskResultStatus, task

_LONGEST_TASK: Final = timedelta(minutes=10)
"""A task that started longer ago is not running any more."""


@task(priority=-10)
def read_scan(scan: int) -> bool:
    """Draw the small pictures of a scan and read some of its pages; whether others are left, which the next task reads.

    The queue takes the highest priority first, and of one priority the oldest. So verdicts go before words, a long scan
    lets others in after some seconds, and of many scans each gets on.
    """
    from governance.scans.actions.reading import read_some
    from governance.scans.drawing.pictures import draw_thumbnails
    from governance.scans.models import Scan

    row = Scan.objects.filter(pk=scan).first()
    if row is None:
        return False
    if not row.pages.exists():
        draw_thumbnails(scan)
    is_left = read_some(scan=row)
    if is_left:
        read_scan.enqueue(scan)
    return is_left


def enqueue_left() -> int:
    """Ask again for scans that wait although no reading is asked for or goes on: a process was ended in the middle of
    its work. For a worker, between its tasks; how many scans there were."""
    from django_tasks_db.models import DBTaskResult

    from governance.scans.models import Scan

    long_ago = timezone.now() - _LONGEST_TASK
    asked = DBTaskResult.objects.filter(task_path=read_scan.module_path)
    is_going_on = Q(status=TaskResultStatus.READY) | Q(status=TaskResultStatus.RUNNING, started_at__gt=long_ago)
    waiting = Scan.objects.filter(text_state=Scan.TextState.WAITING, received_at__lt=long_ago)
    if not waiting.exists() or asked.filter(is_going_on).exists():
        return 0
    keys = list(waiting.order_by("pk").values_list("pk", flat=True))
    for key in keys:
        read_scan.enqueue(key)
    return len(keys)
