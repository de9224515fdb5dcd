"""The room's registration with Django."""

from django.apps import AppConfig


class PapersConfig(AppConfig):
    """The papers: permits, consents, agreements."""

    name = "governance.papers"
    label = "papers"
