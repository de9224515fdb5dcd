"""The room's registration with Django."""

from django.apps import AppConfig


class UseDeskConfig(AppConfig):
    """Requests for the use of material, their answers, and the uses that were made."""

    name = "governance.usedesk"
    label = "usedesk"

    def ready(self) -> None:
        from accessions.material.bonds import add_bond
        from governance.usedesk.bond import BOND

        add_bond(BOND)
