"""Which modules are changed, and which test files are nearest to each."""

import ast
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from tests.street import APPS, ROOMS

__all__ = ["GOALS", "Target", "targets"]

# What guards children and promises beside the rules.
SERVICES = (
    "families/services/spot_books.py",
    "outbox/services/sending.py",
    "outbox/services/subjects.py",
    "outbox/services/writing.py",
    "families/services/care.py",
    "people/services/clearances.py",
    "families/services/family_records.py",
    "families/services/redaction.py",
    "scheduling/services/bookings.py",
    "shifts/services/cover.py",
    "families/services/retention.py",
    "families/services/retention_guardians.py",
    "families/services/spots.py",
    "families/services/registering.py",
    "shifts/services/eligibility.py",
)
# Where a name does not find them: the page, the fault or the outside check that holds a module.
NEAREST: dict[str, tuple[str, ...]] = {
    "people/rules/evidence.py": (
        "tests/people/test_standing_rule.py",
        "tests/reference/test_calendar_months.py",
        "tests/reference/test_standing_days.py",
    ),
    "people/rules/cells.py": ("tests/people/test_imports.py", "tests/families/test_household_imports.py"),
    "people/words/standing.py": ("tests/shifts/test_horizon.py", "tests/people/test_people_pages.py"),
    "people/rules/volunteer_rows.py": ("tests/people/test_imports.py",),
    "people/rules/timeline.py": (
        "tests/people/test_standing_rule.py",
        "tests/reference/test_standing_days.py",
        "tests/reference/test_standing_horizon.py",
    ),
    "outbox/rules/due_times.py": ("tests/reference/test_reminder_times.py",),
    "families/services/spot_books.py": (
        "tests/families/test_spots_services.py",
        "tests/families/test_registering.py",
    ),
    "families/services/care.py": ("tests/families/test_care_services.py",),
    "people/services/clearances.py": (
        "tests/shifts/test_eligibility_over_time.py",
        "tests/people/test_people_pages.py",
    ),
    "shifts/services/eligibility.py": (
        "tests/shifts/test_eligibility_services.py",
        "tests/shifts/test_eligibility_over_time.py",
    ),
    "outbox/services/writing.py": ("tests/outbox/test_writing.py", "tests/scheduling/test_notes_to.py"),
    "outbox/services/subjects.py": ("tests/outbox/test_subjects.py", "tests/families/test_retention_guardians.py"),
    "scheduling/services/bookings.py": (
        "tests/scheduling/test_booking_services.py",
        "tests/scheduling/test_hold_ends.py",
    ),
    "shifts/services/cover.py": ("tests/shifts/test_cover_services.py", "tests/shifts/test_rounds.py"),
    "outbox/services/sending.py": (
        "tests/outbox/test_sending_turns.py",
        "tests/faults/test_mail_server_refuses.py",
        "tests/outbox/test_sending.py",
    ),
    "families/services/retention.py": (
        "tests/families/test_retention.py",
        "tests/families/test_forgetting_whole.py",
    ),
    "families/services/spots.py": (
        "tests/families/test_registering.py",
        "tests/families/test_spots_stay_true.py",
    ),
}
MOST_FILES = 4
# Of what is not equivalent, in hundredths.
GOALS = {"rules": 95, "services": 85}
# Tests that drive a browser, measure, or are about this: too slow for each of forty changes, or beside the point.
FAR = ("browser", "benchmarks", "mutants")
# Beside the rules themselves, what a test may use that needs neither settings nor a database.
PLAIN = ("tests.reference", "tests.floor.floor_acts")


@dataclass(frozen=True)
class Target:
    """``module`` and its tests as paths in the tree: ``pure`` ones need no server, the others do."""

    module: str
    pure: tuple[str, ...]
    served: tuple[str, ...]

    @property
    def goal(self) -> int:
        return GOALS["rules" if "/rules/" in self.module else "services"]


def targets(tree: Path, wanted: Iterable[str] = ()) -> list[Target]:
    """Every module of the plan, or those that ``wanted`` names: a path, or a folder for all in it."""
    every = [*_rules(tree), *(name for name in SERVICES if (tree / name).exists())]
    chosen = list(wanted)
    if chosen:
        named = [one for one in chosen if (tree / one).is_file() and one not in every]
        every = [
            one
            for one in (*every, *named)
            if any(one == name or one.startswith(f"{name.rstrip('/')}/") for name in chosen)
        ]
    return [_target(tree, module) for module in every]


def _rules(tree: Path) -> Iterator[str]:
    for app in APPS:
        for path in sorted((tree / app / "rules").rglob("*.py")):
            if path.name != "__init__.py":
                yield path.relative_to(tree).as_posix()


def _target(tree: Path, module: str) -> Target:
    files = NEAREST.get(module) or nearest(tree, module)
    pure = tuple(name for name in files if is_pure(tree, name))
    return Target(module, pure, tuple(name for name in files if name not in pure))


def nearest(tree: Path, module: str) -> tuple[str, ...]:
    """Test files that import the module: those of its name first, then plain ones, then the shortest."""
    dotted = module.removesuffix(".py").replace("/", ".")
    package = dotted.rpartition(".")[0]
    found = []
    for path in sorted((tree / "tests").rglob("test_*.py")):
        name = path.relative_to(tree).as_posix()
        if name.split("/")[1] in FAR:
            continue
        modules = _imported(path)
        # What a package offers on its own page is offered for its parts, too.
        if dotted in modules or (package in modules and not package.endswith((".rules", ".services"))):
            found.append((_distance(tree, name, Path(module).stem), path.stat().st_size, name))
    return tuple(name for _, _, name in sorted(found)[:MOST_FILES])


def _distance(tree: Path, name: str, stem: str) -> int:
    file = Path(name).stem.removeprefix("test_")
    if file in (stem, f"{stem}_rule", f"{stem}_services"):
        return 0
    if file.startswith(f"{stem}_"):
        return 1
    return (2 if is_pure(tree, name) else 3) + (name.split("/")[1] == "faults")


def is_pure(tree: Path, name: str) -> bool:
    """Whether the tests of a file import nothing that needs Django."""
    return all(
        ".rules" in module or module.startswith(PLAIN)
        for module in _imported(tree / name)
        if module.split(".")[0] in (*ROOMS, "tests", "django", "celery")
    )


@cache
def _imported(path: Path) -> frozenset[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module)
            found.update(f"{node.module}.{one.name}" for one in node.names)
        elif isinstance(node, ast.Import):
            found.update(one.name for one in node.names)
    return frozenset(found)
