"""The room's registration with Django."""

from django.apps import AppConfig


class AuditConfig(AppConfig):
    """Questions, histories, the seal, evidence bundles, keeping and disposal."""

    name = "governance.audit"
    label = "audit"

    def ready(self) -> None:
        from accessions.people.listening import listen_to
        from governance.audit.sealed_tables import STATE_TABLES

        for table in STATE_TABLES:
            if table.is_watched:
                listen_to(table.model)
