"""Who does it and by which way: every row of the history carries it.

A page sets it in the middleware, a page by link once it knows whose link it is, a worker's job and a command by
their own name. Nobody's name is stored, only which row it is, so that whoever is forgotten is forgotten here too.
"""

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from enum import StrEnum
from functools import partial
from typing import Any

import pghistory
from django.apps import apps
from django.conf import settings
from django.core.management.base import BaseCommand
from django.db.models import F, Func, JSONField, Model, Value
from pghistory.models import Context

from core.once import reading
from core.references import reference

__all__ = ["ActingCommand", "How", "acting", "acting_if_nobody", "became", "found_to_be", "typed_by", "who_did"]


class How(StrEnum):
    PAGE = "page"
    LINK = "link"
    IMPORT = "import"
    JOB = "job"
    COMMAND = "command"


def acting(by: Model | str, how: How) -> "pghistory.context":
    """A context manager: what is written within is written by ``by`` (a row, or a job's or a command's name).

    Within another one it takes over for the whole of it, since a history row keeps one author for each transaction.
    """
    return pghistory.context(**_facts(by, how))


def found_to_be(by: Model, how: How) -> None:
    """Say who it is that the open context is of: a link's page learns it after the request has begun.

    Does nothing outside a context, as on a page that only shows.
    """
    pghistory.context(**_facts(by, how))


def typed_by(row: Model) -> None:
    """Say that whoever typed ``row`` acts from here on, on a public page where nobody is signed in.

    Everywhere else it is known who acts, and this changes nothing.
    """
    with pghistory.context() as now_open:
        if now_open.metadata.get("how") == How.PAGE and "by" not in now_open.metadata:
            now_open.metadata["by"] = reference(row)


@contextmanager
def acting_if_nobody(by: str, how: How) -> Iterator[None]:
    """As ``acting``, but whoever acts already goes on acting."""
    with pghistory.context() as now_open:
        if "how" not in now_open.metadata:
            now_open.metadata.update(_facts(by, how))
        yield


def became(was: str, is_now: str) -> None:
    """Say of one row (named by its reference) what the history says that another did, since the two are one.

    What is still to be written in the open context is its too. Call it inside the transaction that makes them one.
    """
    with pghistory.context() as now_open:
        if now_open.metadata.get("by") == was:
            now_open.metadata["by"] = is_now
        renamed = Func(F("metadata"), Value("{by}"), Value(is_now, JSONField()), function="jsonb_set")
        Context.objects.filter(metadata__by=was).update(metadata=renamed)


def _facts(by: Model | str, how: How) -> dict[str, Any]:
    return {"by": by if isinstance(by, str) else reference(by), "how": str(how)}


def who_did(events: Iterable[Any]) -> Callable[[Any], str]:
    """A function from a history row to who did it, in words. One query for each kind of row that did something.

    ``events`` come with their ``pgh_context`` loaded.
    """
    facts = [event.pgh_context.metadata or {} for event in events if event.pgh_context]
    labels: dict[str, set[int]] = {}
    for one in facts:
        if ":" in one.get("by", ""):
            label, number = one["by"].split(":")
            labels.setdefault(label, set()).add(int(number))
    names = {
        f"{label}:{row.pk}": str(row)
        for label, numbers in labels.items()
        for row in apps.get_model(label)._default_manager.filter(pk__in=numbers)
    }
    return partial(_in_words, names=names)


def _in_words(event: Any, *, names: dict[str, str]) -> str:
    facts = (event.pgh_context.metadata or {}) if event.pgh_context else {}
    by, how = facts.get("by", ""), facts.get("how", "")
    if not by:
        return "a public page" if how == How.PAGE else ""
    if ":" not in by:
        return "by itself" if how == How.JOB else by
    typed = how == How.PAGE and by.split(":")[0] != settings.AUTH_USER_MODEL.lower()
    if typed:
        return f"{names[by]}, on a public page" if by in names else "a public page"
    name = names.get(by, "somebody whose record is gone")
    return {How.LINK: f"{name}, by link", How.IMPORT: f"{name}, from a table"}.get(How(how), name)


class ActingCommand(BaseCommand):
    """A command whose writes carry its name."""

    def execute(self, *args: Any, **options: Any) -> str | None:
        name = type(self).__module__.rsplit(".", 1)[-1]
        with reading(), acting(f"command {name}", How.COMMAND):
            said: str | None = super().execute(*args, **options)
            return said
