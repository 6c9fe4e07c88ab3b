from typing import Any

from django.apps import AppConfig
from django.db.models.signals import post_migrate


def write_activities(**kwargs: Any) -> None:
    from clinics.services.activities import ensure_activities  # models can't be read before the apps are ready

    ensure_activities()


class ClinicsConfig(AppConfig):
    name = "clinics"

    def ready(self) -> None:
        # The house's own activities are there after every migrate: set-up, not domain logic.
        post_migrate.connect(write_activities, sender=self, dispatch_uid="clinics.activities")
