"""The room's registration with Django."""

from django.apps import AppConfig


class PeopleConfig(AppConfig):
    """People who use the register, and the people and organisations it speaks of."""

    name = "accessions.people"
    label = "people"

    def ready(self) -> None:
        from accessions.people.listening import listen_to_histories

        listen_to_histories()
