"""Writes every encrypted text again under the first of CARE_KEYS, so that the older keys can be removed."""

from typing import Any

from django.apps import apps
from django.core.management.base import CommandError
from django.db import connection, transaction

from core.acting import ActingCommand
from core.secret_text import EncryptedTextField, LostKey, turned

BATCH = 500


class Command(ActingCommand):
    help = __doc__

    def handle(self, *args: Any, **options: Any) -> None:
        count = 0
        for model in apps.get_models():
            for field in model._meta.concrete_fields:
                if isinstance(field, EncryptedTextField):
                    try:
                        count += turn(model._meta.db_table, field.column)
                    except LostKey as problem:
                        raise CommandError(str(problem)) from problem
        self.stdout.write(f"{count} texts are under the first key now.")


def turn(table: str, column: str) -> int:
    """Rewrite one column in batches, one transaction each; a second run does no harm. Returns how many texts.

    It goes around the models, so that only the encrypted text changes and no history is written.
    """
    name, col = connection.ops.quote_name(table), connection.ops.quote_name(column)
    count = 0
    last: Any = None
    while True:
        after, params = ("and id > %s", [last]) if last is not None else ("", [])
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(
                f"select id, {col} from {name} where {col} <> '' {after} order by id limit %s for update",
                [*params, BATCH],
            )
            rows = cursor.fetchall()
            for pk, text in rows:
                cursor.execute(f"update {name} set {col} = %s where id = %s", [turned(text), pk])
        if not rows:
            return count
        count, last = count + len(rows), rows[-1][0]
