"""The room's registration with Django."""

from django.apps import AppConfig


class MaterialConfig(AppConfig):
    """Accessions, deliveries, sampling events, specimens, lots and parts."""

    name = "accessions.material"
    label = "material"
