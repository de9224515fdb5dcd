"""The room's registration with Django."""

from django.apps import AppConfig


class DutiesConfig(AppConfig):
    """Duties with their days and states, benefits, deposits, reminders."""

    name = "governance.duties"
    label = "duties"
