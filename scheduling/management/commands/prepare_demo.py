"""Brings the demo's database to today: migrates it where that is due, and fills it as load_demo does.

With ``--doors FILE`` it writes the addresses worth opening first to that file, for its owner alone to read.
"""

import gc
import json
from dataclasses import asdict
from pathlib import Path
from typing import Any

from django.core.management import call_command
from django.core.management.base import CommandParser
from django.core.management.sql import emit_post_migrate_signal
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from config import clock
from config.acting import ActingCommand
from scheduling import demo_doors


class Command(ActingCommand):
    help = __doc__
    # The checks read every page and take as long as the rest; `make lint` and the tests run them.
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--doors", type=Path, help="a file for the addresses worth opening first")

    def handle(self, *args: Any, doors: Path | None = None, **options: Any) -> None:
        executor = MigrationExecutor(connection)
        if executor.migration_plan(executor.loader.graph.leaf_nodes()):
            # Migrating makes thousands of small classes; looking through all of them again and again takes a quarter
            # of its time.
            gc.set_threshold(100_000, 50, 100)
            call_command("migrate", verbosity=0, skip_checks=True)
        else:
            # Roles and duties of younger code are written after every migrate, and so here.
            emit_post_migrate_signal(verbosity=0, interactive=False, db=connection.alias)
        call_command("load_demo", stdout=self.stdout)
        if doors is not None:
            now = clock.now()
            said = {"doors": [asdict(door) for door in demo_doors.doors(now)], "why_now": demo_doors.why_now(now)}
            doors.unlink(missing_ok=True)
            doors.touch(mode=0o600)
            doors.write_text(json.dumps(said))
