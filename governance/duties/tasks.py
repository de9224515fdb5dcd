"""Work for the background. On Django 6 the import below becomes ``django.tasks``."""

from __future__ import annotations

from django_tasks import task

from accessions.people.models import User


@task()
def catch_up_with_duties(user: int | None) -> int | None:
    """Work the duties out again; returns the key of the run. Several of these in the queue do no harm: the first one
    catches up, and the others find nothing to do."""
    from governance.duties.actions.working_out import catch_up

    by = None if user is None else User.objects.filter(pk=user).first()
    run = catch_up(by=by, why="after a change")
    return None if run is None else run.pk
