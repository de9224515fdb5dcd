"""The room's registration with Django."""

from django.apps import AppConfig


class SitesConfig(AppConfig):
    """Sampling sites, their boundaries through time, owners and designations."""

    name = "accessions.sites"
    label = "sites"
