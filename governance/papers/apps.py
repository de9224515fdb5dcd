"""The room's registration with Django."""

from django.apps import AppConfig


class PapersConfig(AppConfig):
    """The papers: permits, consents, agreements."""

    name = "governance.papers"
    label = "papers"

    def ready(self) -> None:
        from accessions.material.bonds import add_bond
        from governance.papers.bond import BOND

        add_bond(BOND)
