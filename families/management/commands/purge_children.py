"""Deletes what the rule no longer keeps of children: notes first, the signed waiver when no one can ask for it."""

from argparse import ArgumentParser
from collections import Counter
from typing import Any

from core import clock
from core.acting import ActingCommand
from core.formats import counted
from families.models import Retention
from families.services.retention import children_due, purge_children, rule_of
from families.services.retention_guardians import purge_guardians


class Command(ActingCommand):
    help = __doc__

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--dry-run", action="store_true", help="Say how many, and delete nothing.")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["dry_run"]:
            done = Counter(goes for _, goes in children_due(today=clock.today(), rule=rule_of(Retention.now())))
        else:
            done = purge_children(today=clock.today(), now=clock.now())
            done["guardians"] = sum(purge_guardians(today=clock.today(), now=clock.now()).values())
        verb = "To be deleted" if options["dry_run"] else "Deleted"
        self.stdout.write(f"{verb}: the full records of {counted(done['all'], 'child')}.")
        self.stdout.write(f"{verb}: everything except the signed waiver for {counted(done['notes'], 'child')}.")
        if done["guardians"]:
            self.stdout.write(f"{verb}: the contacts of {counted(done['guardians'], 'guardian')}.")
