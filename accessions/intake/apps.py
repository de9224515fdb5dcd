"""The room's registration with Django."""

from django.apps import AppConfig


class IntakeConfig(AppConfig):
    """Files that come in: specimens and areas, read as text with the errors of each row."""

    name = "accessions.intake"
    label = "intake"
