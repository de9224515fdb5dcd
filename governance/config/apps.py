"""The room's registration with Django."""

from django.apps import AppConfig


class ConfigConfig(AppConfig):
    """Settings and the commands that concern the whole project, such as ``demo``."""

    name = "governance.config"
    label = "config"

    def ready(self) -> None:
        """Rooms that know nothing of each other meet here, once their models are there."""
        from governance.config.help_in_search import HELP
        from governance.search.queries.kinds import add_kind

        add_kind(HELP)
