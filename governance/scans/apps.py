"""The room's registration with Django."""

from django.apps import AppConfig


class ScansConfig(AppConfig):
    """The scans: files as they came, their pages, their words."""

    name = "governance.scans"
    label = "scans"
