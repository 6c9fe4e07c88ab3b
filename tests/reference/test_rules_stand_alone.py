"""The rules are plain Python: they import where there is no Django, no settings and no database."""

import subprocess
import sys

import pytest

from tests.street import ROOMS, ROOT

RULES = sorted(
    ".".join(path.relative_to(ROOT).with_suffix("").parts)
    for room in ROOMS
    for path in (ROOT / room / "rules").glob("*.py")
    if path.name != "__init__.py"
)
BLOCKED = ("django", "celery", "psycopg", "redis", "config")


def test_there_are_rules_to_check() -> None:
    assert "people.rules.standing" in RULES
    assert "clinics.rules.supervision" in RULES
    assert "shifts.rules.reminder_times" in RULES


@pytest.mark.parametrize("module", RULES)
def test_a_rule_imports_with_django_out_of_reach(module: str) -> None:
    code = (
        f"import sys\nfor name in {BLOCKED!r}: sys.modules[name] = None\nsys.path.insert(0, {str(ROOT)!r})\n"
        f"import {module}\n"
    )

    done = subprocess.run([sys.executable, "-I", "-c", code], capture_output=True, text=True, cwd="/", check=False)

    assert done.returncode == 0, done.stderr
