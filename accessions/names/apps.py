"""The room's registration with Django."""

from django.apps import AppConfig


class NamesConfig(AppConfig):
    """Names as written, and the classification they are placed in."""

    name = "accessions.names"
    label = "names"
