"""The tables as they were before the first test, put back after each test that commits.

Django truncates every table and writes again what each migrate writes, which takes most of a second. Here only
tables that hold anything are emptied, and the rows that migrate wrote are copied back from a schema of their own.
Triggers and foreign keys are off meanwhile, so a history table that refuses deletion is emptied as well.
"""

from typing import Any

from django.core.management import call_command
from django.db import connection, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.test import TransactionTestCase

__all__ = ["remember", "restore", "swiftly"]

KEPT = "kept_for_tests"


def swiftly() -> None:
    """Have tests that commit end with ``restore`` in place of Django's flush."""
    TransactionTestCase._fixture_teardown = _fixture_teardown  # type: ignore[attr-defined]


def remember(db: BaseDatabaseWrapper = connection) -> None:
    """Keep what every migrate writes. A reused database may hold more rows; they are deleted first."""
    call_command("flush", verbosity=0, interactive=False, database=db.alias)
    with db.cursor() as cursor:
        cursor.execute(f"DROP SCHEMA IF EXISTS {KEPT} CASCADE")
        cursor.execute(f"CREATE SCHEMA {KEPT}")
        for table in filled(cursor, tables(db)):
            cursor.execute(f'CREATE TABLE {KEPT}."{table}" AS TABLE public."{table}"')


def restore(db: BaseDatabaseWrapper = connection) -> None:
    with db.cursor() as cursor:
        cursor.execute("SELECT tablename FROM pg_tables WHERE schemaname = %s", [KEPT])
        kept = [name for (name,) in cursor.fetchall()]
        words = [f'DELETE FROM public."{table}"' for table in filled(cursor, tables(db))]
        words += [f'INSERT INTO public."{table}" OVERRIDING SYSTEM VALUE TABLE {KEPT}."{table}"' for table in kept]
        with transaction.atomic(using=db.alias):
            cursor.execute("SET LOCAL session_replication_role = replica")
            cursor.execute("; ".join(words))


def tables(db: BaseDatabaseWrapper) -> list[str]:
    return sorted(db.introspection.django_table_names(only_existing=True, include_views=False))


def filled(cursor: Any, names: list[str]) -> list[str]:
    """Those of ``names`` that hold a row."""
    asked = (f"SELECT '{name}' WHERE EXISTS (SELECT FROM public.\"{name}\")" for name in names)
    cursor.execute(" UNION ALL ".join(asked))
    return [name for (name,) in cursor.fetchall()]


def _fixture_teardown(self: TransactionTestCase) -> None:
    restore()
