"""Reading in the background. On Django 6 the import below becomes ``django.tasks``."""

from __future__ import annotations

from django_tasks import task


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
