"""Fills a database for measuring. Invented rows only; the same seed writes the same rows."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import CommandError

from core import clock
from core.acting import ActingCommand
from demo.scale import load_scale


class Command(ActingCommand):
    help = __doc__

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--volunteers", type=int, default=200)
        parser.add_argument("--clinics", type=int, default=100)
        parser.add_argument("--children", type=int, default=0, help="With guardians, waivers and places.")
        parser.add_argument("--seed", type=int, default=0)

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            made = load_scale(
                volunteers=options["volunteers"],
                clinics=options["clinics"],
                children=options["children"],
                seed=options["seed"],
                now=clock.now(),
            )
        except ValueError as problem:
            raise CommandError(str(problem)) from problem
        self.stdout.write(", ".join(f"{count} {what}" for what, count in made.items()) + " written.")
