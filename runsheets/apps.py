from typing import Any

from django.apps import AppConfig
from django.db.models.signals import post_migrate
from django.utils.translation import gettext_lazy as _


def write_activities(**kwargs: Any) -> None:
    from core.acting import How, acting_if_nobody  # models can't be read before the apps are ready
    from runsheets.services.activities import ensure_activities

    with acting_if_nobody("command migrate", How.COMMAND):
        ensure_activities()


class RunsheetsConfig(AppConfig):
    name = "runsheets"
    verbose_name = _("Run sheets")

    def ready(self) -> None:
        from clinics import needs
        from kits import hooks as kit_hooks
        from runsheets.queries.needs import all_run_sheet_needs
        from runsheets.queries.sheet_packing import needs_of_sheets

        kit_hooks.needs_of_clinics.add(needs_of_sheets)
        needs.needs.add(all_run_sheet_needs)

        # The house's own activities are there after every migrate: set-up, not domain logic.
        post_migrate.connect(write_activities, sender=self, dispatch_uid="runsheets.activities")
