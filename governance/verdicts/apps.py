"""The room's registration with Django."""

from django.apps import AppConfig


class VerdictsConfig(AppConfig):
    """Verdicts on specimens, with their findings."""

    name = "governance.verdicts"
    label = "verdicts"

    def ready(self) -> None:
        from accessions.material.bonds import add_bond
        from governance.verdicts.bond import BOND

        add_bond(BOND)
