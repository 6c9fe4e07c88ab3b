"""Fills an empty database with the demo's invented world; on a later day adds the clinic of that day."""

from typing import Any

from config import clock
from config.acting import ActingCommand
from scheduling.demo import is_demo, load_demo
from scheduling.demo_floor import open_today


class Command(ActingCommand):
    help = __doc__

    def handle(self, *args: Any, **options: Any) -> None:
        if load_demo():
            self.stdout.write("Lantern Court's world is loaded.")
        elif is_demo() and open_today(clock.now()):
            self.stdout.write("Lantern Court's world was here already; it has a clinic today as well.")
        else:
            self.stdout.write("There are people here already; nothing was loaded.")
