"""The room's registration with Django."""

from django.apps import AppConfig


class VerdictsConfig(AppConfig):
    """Verdicts on specimens, with their findings."""

    name = "governance.verdicts"
    label = "verdicts"
