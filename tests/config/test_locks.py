"""How rows are locked: never so that a commit elsewhere, which merely refers to the row, has to wait.

PostgreSQL manual, "Explicit Locking", 13.3.2 row-level locks: FOR KEY SHARE, which a foreign key takes, conflicts with
FOR UPDATE and not with FOR NO KEY UPDATE.
"""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SOURCES = [path for app in ("people", "clinics", "scheduling", "config") for path in (ROOT / app).rglob("*.py")]


@pytest.mark.parametrize("app", ["people", "clinics", "scheduling"])
def test_every_lock_leaves_foreign_keys_alone(app):
    calls = [
        (path.relative_to(ROOT), call)
        for path in SOURCES
        if path.is_relative_to(ROOT / app) and "migrations" not in path.parts
        for call in re.findall(r"select_for_update\([^)]*", path.read_text(encoding="utf-8"))
    ]
    assert len(calls) > 5
    assert [entry for entry in calls if "no_key=True" not in entry[1]] == []
