"""Fills an empty database with the demo's invented world."""

from typing import Any

from django.core.management.base import BaseCommand

from scheduling.demo import load_demo


class Command(BaseCommand):
    help = __doc__

    def handle(self, *args: Any, **options: Any) -> None:
        if load_demo():
            self.stdout.write("Lantern Court's world is loaded.")
        else:
            self.stdout.write("There are people here already; nothing was loaded.")
