"""Entries of a phone, for tests of the floor's log."""

from datetime import UTC, datetime, timedelta

from floor.rules.floor_log import Action

START = datetime(2026, 11, 28, 14, 0, tzinfo=UTC)


def act(number: int, kind: str, minute: float, phone: str = "a", **facts: object) -> Action:
    return Action(f"{phone}{number}", phone, number, START + timedelta(minutes=minute), kind, facts)


def ids(rows: list[Action]) -> list[str]:
    return [row.id for row in rows]
