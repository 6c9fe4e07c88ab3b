"""The floor page's modules as they lie on the disk: all are named, and none has what production can't take."""

import re
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders

from core.static_files import IMPORT, without_comments
from floor.views.page import FLOOR_MODULES

FOLDER = Path(str(finders.find("floor/main.js"))).parent
MODULES = sorted((*FLOOR_MODULES, "main"))


def words(name: str) -> str:
    return (FOLDER / f"{name}.js").read_text(encoding="utf-8")


def imported(name: str) -> set[str]:
    return {Path(found["url"]).stem for found in re.finditer(IMPORT, words(name))}


def test_the_page_names_every_module_and_the_worker_is_none_of_them():
    assert sorted(path.stem for path in FOLDER.iterdir()) == sorted((*MODULES, "worker"))


@pytest.mark.parametrize("name", MODULES)
def test_each_import_is_a_line_that_production_rewrites_and_names_a_module_of_the_page(name):
    said = re.findall(r"(?m)^\s*(?:import|export\b.*\bfrom)\b.*|\bimport\(.*", words(name))

    assert len(said) == len(re.findall(IMPORT, words(name)))
    assert imported(name) <= set(FLOOR_MODULES), "main is started by the page and by nobody else"


@pytest.mark.parametrize("name", MODULES)
def test_a_module_has_nothing_at_its_top_that_changes_and_hangs_nothing_on_the_browser(name):
    assert not re.search(r"(?m)^(?:export )?(?:let|var)\b|\b(?:window|self)\.|\bglobalThis\.\w+ = ", words(name))


def test_modules_lean_on_each_other_without_a_circle_and_few_deep():
    """Production rewrites names in five rounds at most, one for each step of a chain."""
    steps: dict[str, int] = {}
    for _ in MODULES:
        for name in MODULES:
            if name not in steps and imported(name) <= set(steps):
                steps[name] = 1 + max((steps[other] for other in imported(name)), default=0)

    assert sorted(steps) == MODULES
    assert steps["rules"] == 1 and max(steps.values()) == steps["main"] <= 5


@pytest.mark.parametrize("name", [*MODULES, "worker"])
def test_production_leaves_out_comments_and_nothing_else(name):
    said, kept = words(name), without_comments(f"floor/{name}.js", words(name))

    assert not re.search(r"(?m)^\s*//", kept) and without_comments("htmx/htmx.js", said) == said
    assert [line for line in said.splitlines() if not line.lstrip().startswith("//")] == kept.splitlines()
    # No text over several lines has a line that looks like a comment.
    for comment in re.finditer(r"(?m)^\s*//.*\n", said):
        before = re.sub(r"(?m)//.*$", "", said[: comment.start()])
        # Such a mark in a class of letters opens no text.
        before = re.sub(r"\[[^\]\n]*`[^\]\n]*\]", "", before)
        assert before.count("`") % 2 == 0, comment.group()
