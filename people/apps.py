from typing import Any

from django.apps import AppConfig
from django.db.models.signals import post_migrate

from people.services.roles import ensure_roles


def write_starters(**kwargs: Any) -> None:
    from people.services.duties import ensure_duties  # models can't be read before the apps are ready

    ensure_roles()
    ensure_duties()


class PeopleConfig(AppConfig):
    name = "people"
    verbose_name = "People"

    def ready(self) -> None:
        from outbox.letters import register
        from people import hooks
        from people.letters import accounts
        from people.services.merge import own_keys

        register(*accounts.LETTERS)
        hooks.volunteer_keys.add(own_keys)

        # Roles mirror a table in the code, and the program asks for some duties by name, so every migrate leaves
        # both right: set-up, not domain logic.
        post_migrate.connect(write_starters, sender=self, dispatch_uid="people.starters")
