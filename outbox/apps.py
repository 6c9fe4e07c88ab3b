from django.apps import AppConfig


class OutboxConfig(AppConfig):
    name = "outbox"
    verbose_name = "Outbox"

    def ready(self) -> None:
        """Notes follow a row that becomes another; see ``core.merge``."""
        from core import merge
        from outbox.services.subjects import follow

        merge.rows_merging.add(follow)
