"""Who acts, and in which way: every row of the history carries both.

The middleware sets it for a page, and a page by link once it knows whose link it is. A worker's job and a command give
their own name. The history stores a reference to the row that acted and no name, so it names no one who was deleted.
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
from django.utils.translation import gettext
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
    """Return a context manager in which ``by`` acts (a row, or the name of a job or a command).

    Inside another context it replaces the author there too, since all history rows of a transaction have one author.
    """
    return pghistory.context(**_facts(by, how))


def found_to_be(by: Model, how: How) -> None:
    """Name the author in the open context: a page by link learns only during its request whose link it is.

    Does nothing outside a context, as on a page that only shows.
    """
    acting(by, how)


def typed_by(row: Model) -> None:
    """Make ``row`` the author from here on, on a public page where no one is logged in.

    Does nothing where the author is known.
    """
    with pghistory.context() as now_open:
        if now_open.metadata.get("how") == How.PAGE and "by" not in now_open.metadata:
            now_open.metadata["by"] = reference(row)


@contextmanager
def acting_if_nobody(by: str, how: How) -> Iterator[None]:
    """Make ``by`` the author inside the block, unless there is an author already."""
    with pghistory.context() as now_open:
        if "how" not in now_open.metadata:
            now_open.metadata.update(_facts(by, how))
        yield


def became(was: str, is_now: str) -> None:
    """Make ``is_now`` the author of all that ``was`` did, since the two rows are merged; both are references.

    History that the open context still writes is included. Call it inside the transaction that merges the rows.
    """
    with pghistory.context() as now_open:
        if now_open.metadata.get("by") == was:
            now_open.metadata["by"] = is_now
        renamed = Func(F("metadata"), Value("{by}"), Value(is_now, JSONField()), function="jsonb_set")
        Context.objects.filter(metadata__by=was).update(metadata=renamed)


def _facts(by: Model | str, how: How) -> dict[str, Any]:
    return {"by": by if isinstance(by, str) else reference(by), "how": str(how)}


def who_did(events: Iterable[Any]) -> Callable[[Any], str]:
    """Return a function that says in words who is behind a history row. One query for each kind of row that acted.

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
        return gettext("a public page") if how == How.PAGE else ""
    if ":" not in by:
        return gettext("automatically") if how == How.JOB else by
    typed = how == How.PAGE and by.split(":")[0] != settings.AUTH_USER_MODEL.lower()
    if typed:
        return gettext("%(name)s, on a public page") % {"name": names[by]} if by in names else gettext("a public page")
    name = names.get(by) or gettext("someone whose record was deleted")
    if how == How.LINK:
        return gettext("%(name)s, by link") % {"name": name}
    if how == How.IMPORT:
        return gettext("%(name)s, from an imported file") % {"name": name}
    return name


class ActingCommand(BaseCommand):
    """A command whose writes carry its name."""

    def execute(self, *args: Any, **options: Any) -> str | None:
        name = type(self).__module__.rsplit(".", 1)[-1]
        with reading(), acting(f"command {name}", How.COMMAND):
            said: str | None = super().execute(*args, **options)
            return said
