"""The room's registration with Django."""

from django.apps import AppConfig


class ConfigConfig(AppConfig):
    """Settings and the commands that concern the whole project, such as ``demo``."""

    name = "governance.config"
    label = "config"
