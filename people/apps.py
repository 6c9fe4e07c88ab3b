from typing import Any

from django.apps import AppConfig
from django.db.models.signals import post_migrate

from people.services.roles import ensure_roles


def write_roles(**kwargs: Any) -> None:
    ensure_roles()


class PeopleConfig(AppConfig):
    name = "people"

    def ready(self) -> None:
        # Roles mirror a table in the code, so every migrate leaves them right: set-up, not domain logic.
        post_migrate.connect(write_roles, sender=self, dispatch_uid="people.roles")
