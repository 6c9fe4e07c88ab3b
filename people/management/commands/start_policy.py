"""Writes a clearance policy to start from where there is none."""

from typing import Any

from core.acting import ActingCommand
from people.services.policy import ensure_starter_policy


class Command(ActingCommand):
    help = __doc__

    def handle(self, *args: Any, **options: Any) -> None:
        if ensure_starter_policy():
            self.stdout.write("The starter policy is written. Check each interval against your local law.")
        else:
            self.stdout.write("There is a policy already; nothing was changed.")
