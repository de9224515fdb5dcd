"""The room's registration with Django."""

from django.apps import AppConfig


class ReportsConfig(AppConfig):
    """Reports with the rows behind their figures, their files, how they were sent, and pages shared with readers."""

    name = "governance.reports"
    label = "reports"

    def ready(self) -> None:
        from accessions.material.bonds import add_bond
        from governance.reports.bond import BOND

        add_bond(BOND)
