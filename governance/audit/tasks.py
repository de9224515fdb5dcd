"""Work for the background. On Django 6 the import below becomes ``django.tasks``."""

from __future__ import annotations

from django_tasks import task


@task()
def count_quality() -> int:
    """Count every question of data quality; returns how many there are."""
    from django.utils import timezone

    from governance.audit.actions.quality import count_all

    return len(count_all(timezone.localdate()))
