"""Compile the Spanish of core/locale for Django, without gettext on the machine."""

from typing import Any

from django.core.management.base import BaseCommand

from core.languages import write_words


class Command(BaseCommand):
    help = "Writes var/locale/es/LC_MESSAGES/django.mo from core/locale/es/*.po."
    requires_system_checks = []

    def handle(self, *args: Any, **options: Any) -> None:
        self.stdout.write(f"{write_words()} sentences in Spanish.")
