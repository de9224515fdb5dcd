"""The room's registration with Django."""

from django.apps import AppConfig


class SearchConfig(AppConfig):
    """The search from the head of every page."""

    name = "governance.search"
    label = "search"
