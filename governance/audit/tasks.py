"""Work for the background. On Django 6 the import below becomes ``django.tasks``."""

from __future__ import annotations

from django_tasks import task


@task()
def count_quality() -> int:
    """Count every question of data quality; returns how many there are."""
    from django.utils import timezone

    from governance.audit.actions.quality import count_all

    return len(count_all(timezone.localdate()))


@task(priority=-5)
def make_bundle(bundle: int) -> bool:
    """Make a large evidence file; whether it was made. What stopped it stands with it."""
    from governance.audit.actions.bundling import make_now
    from governance.audit.models import EvidenceBundle

    row = EvidenceBundle.objects.select_related("asked_by").filter(pk=bundle).first()
    return row is not None and make_now(row)
