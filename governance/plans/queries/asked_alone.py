"""What is being asked for one stop and no other."""

from __future__ import annotations

from django.db.models import Count

from governance.plans.models import Application, Stop


def applications_for_alone(stop: Stop) -> list[Application]:
    """Applications that name this stop and no other."""
    named = Application.objects.annotate(named=Count("application_stops")).filter(named=1)
    return list(named.filter(pk__in=stop.application_stops.values("application")).order_by("layer", "pk"))


def is_under_way(application: Application) -> bool:
    """Whether it was neither granted nor refused nor given up."""
    return application.state in (Application.State.TO_ASK, Application.State.ASKED, Application.State.PROMISED)
