"""The rules are plain Python: they import where there is no Django, no settings and no database."""

import json
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
# Each rule has a process of its own, forked from one that has imported nothing of ours: Python starts once for all.
EACH_ALONE = """
import importlib, json, os, sys, traceback
root, blocked, modules = json.loads(sys.argv[1])
sys.modules |= dict.fromkeys(blocked)
sys.path.insert(0, root)
said = {}
for module in modules:
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        code = 1
        try:
            importlib.import_module(module)
            code = 0
        except BaseException:
            os.write(writer, traceback.format_exc().encode()[-4000:])
        finally:
            os._exit(code)
    os.close(writer)
    with open(reader, "rb") as words:
        text = words.read().decode()
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    said[module] = [code, text]
print(json.dumps(said))
"""


@pytest.fixture(scope="module")
def imported() -> dict[str, tuple[int, str]]:
    """The exit code of each rule's process and what it said."""
    asked = json.dumps([str(ROOT), BLOCKED, RULES])
    done = subprocess.run(
        [sys.executable, "-I", "-c", EACH_ALONE, asked], capture_output=True, text=True, cwd="/", check=True
    )
    return {module: (code, said) for module, (code, said) in json.loads(done.stdout).items()}


def test_there_are_rules_to_check() -> None:
    assert "people.rules.standing" in RULES
    assert "clinics.rules.supervision" in RULES
    assert "shifts.rules.reminder_times" in RULES


@pytest.mark.parametrize("module", RULES)
def test_a_rule_imports_with_django_out_of_reach(imported: dict[str, tuple[int, str]], module: str) -> None:
    code, said = imported[module]

    assert code == 0, said
