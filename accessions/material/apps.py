"""The room's registration with Django."""

from django.apps import AppConfig


class MaterialConfig(AppConfig):
    """Accessions, deliveries, sampling events, specimens, lots and parts."""

    name = "accessions.material"
    label = "material"

    def ready(self) -> None:
        from django.db.models.signals import post_migrate

        from accessions.material.keys import keep_keys_given

        post_migrate.connect(keep_keys_given, sender=self, dispatch_uid="material.keep_keys_given")
