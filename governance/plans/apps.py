"""The room's registration with Django."""

from django.apps import AppConfig


class PlansConfig(AppConfig):
    """Field plans, their applications and what is carried into the field."""

    name = "governance.plans"
    label = "plans"
