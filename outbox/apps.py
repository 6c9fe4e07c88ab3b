from django.apps import AppConfig


class OutboxConfig(AppConfig):
    name = "outbox"

    def ready(self) -> None:
        from config import one_record
        from outbox.services.subjects import follow

        one_record.becoming_one.add(follow)
