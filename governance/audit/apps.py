"""The room's registration with Django."""

from django.apps import AppConfig


class AuditConfig(AppConfig):
    """Questions, histories, the seal, evidence bundles, keeping and disposal."""

    name = "governance.audit"
    label = "audit"
