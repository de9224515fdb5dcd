"""The check of a long chain in the background. On Django 6 the import below becomes ``django.tasks``."""

from __future__ import annotations

from django_tasks import task

from accessions.people.models import User


@task(priority=-5)
def check_whole_seal(user: int) -> int:
    """Check everything and keep what was found; how many problems."""
    from governance.audit.actions.sealing import check_now

    return check_now(by=User.objects.get(pk=user)).problem_count
