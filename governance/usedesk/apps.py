"""The room's registration with Django."""

from django.apps import AppConfig


class UseDeskConfig(AppConfig):
    """Requests for the use of material, their answers, and the uses that were made."""

    name = "governance.usedesk"
    label = "usedesk"
