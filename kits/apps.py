from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class KitsConfig(AppConfig):
    name = "kits"
    verbose_name = _("Kits")

    def ready(self) -> None:
        """Answers what the apps below ask; see ``core.hooks``."""
        from clinics import needs
        from kits.queries.needs import all_kit_needs

        needs.needs.add(all_kit_needs)
