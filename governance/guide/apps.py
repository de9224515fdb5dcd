"""The room's registration with Django."""

from django.apps import AppConfig


class GuideConfig(AppConfig):
    """First steps and help."""

    name = "governance.guide"
    label = "guide"
