"""Forgets volunteers who left longer ago than the organisation keeps their names."""

from argparse import ArgumentParser
from typing import Any

from django.conf import settings

from core import clock
from core.acting import ActingCommand
from core.formats import counted
from people.services.retention import due_to_go, purge_leavers


class Command(ActingCommand):
    help = __doc__

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--dry-run", action="store_true", help="Say how many, and delete no one.")

    def handle(self, *args: Any, **options: Any) -> None:
        months = settings.RETENTION_MONTHS
        if options["dry_run"]:
            who = counted(len(due_to_go(today=clock.today(), months=months)), "person")
            self.stdout.write(f"{who} who left more than {counted(months, 'month')} ago would be deleted.")
            return
        count = purge_leavers(today=clock.today(), months=months, now=clock.now())
        self.stdout.write(f"Deleted {counted(count, 'person')} who left more than {counted(months, 'month')} ago.")
