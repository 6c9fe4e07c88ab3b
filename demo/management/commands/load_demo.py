"""Fills an empty database with the demo's invented world; on a later day adds the clinic of that day."""

from typing import Any

from core import clock
from core.acting import ActingCommand
from demo.floor import open_today
from demo.world import is_demo, load_demo


class Command(ActingCommand):
    help = __doc__

    def handle(self, *args: Any, **options: Any) -> None:
        if load_demo():
            self.stdout.write("Lantern Court's world is loaded.")
        elif is_demo() and open_today(clock.now()):
            self.stdout.write("Lantern Court's world was here already; it has a clinic today as well.")
        else:
            self.stdout.write("There are people here already; nothing was loaded.")
