"""Brings the demo's database to today: migrates it where that is due, and fills it as load_demo does.

With ``--doors FILE`` it writes the addresses worth opening first to that file, for its owner alone to read.
"""

import gc
import json
from dataclasses import asdict
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import CommandParser
from django.core.management.sql import emit_post_migrate_signal
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader

from core import clock
from core.acting import ActingCommand
from demo import doors as demo_doors

STARTS_OVER = "The demo's data was of an older edition, which this one can't read. It has started over with new data."


class Command(ActingCommand):
    help = __doc__
    # The checks read every page and take as long as the rest; `make lint` and the tests run them.
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--doors", type=Path, help="a file for the addresses worth opening first")

    def handle(self, *args: Any, doors: Path | None = None, **options: Any) -> None:
        news = ""
        if made_before():
            empty_database()
            news = STARTS_OVER
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
            said["news"] = news
            doors.unlink(missing_ok=True)
            doors.touch(mode=0o600)
            doors.write_text(json.dumps(said))


def made_before() -> bool:
    """Whether the tables were made by migrations that are there no more, and it is a demo's database."""
    loader = MigrationLoader(connection)
    ours = {app for app, _ in loader.disk_migrations}
    gone = [key for key in loader.applied_migrations if key[0] in ours and key not in loader.disk_migrations]
    return settings.MODE == "demo" and bool(gone)


def empty_database() -> None:
    """Take every table away. Only for a demo's database: everything in it is invented."""
    with connection.cursor() as cursor:
        cursor.execute("DROP SCHEMA public CASCADE")
        cursor.execute("CREATE SCHEMA public")
