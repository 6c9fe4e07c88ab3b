"""Activities: the house's own to start from, and what the office adds, changes, retires and reads from a table."""

from collections.abc import Sequence

from django.db import IntegrityError, transaction
from django.utils.text import slugify

from clinics.models import Activity
from clinics.rules.activities import ACTIVITIES
from clinics.rules.activity_rows import ActivityRow
from config.refusal import Refusal

__all__ = ["add_activity", "ensure_activities", "retire_activity", "take_rows"]

_FACTS = (
    "name", "kind", "least_minutes", "most_minutes", "group_size", "hoops", "balls", "balls_each", "adults", "youngest",
    "oldest", "level", "cycle_seconds", "players", "turns_at_once", "tables", "sockets", "skill", "record",
)  # fmt: skip


def ensure_activities() -> None:
    """Write the activities of the house where they are missing; never changes one that is there."""
    Activity.objects.bulk_create(
        (
            Activity(
                code=one.code,
                teaching="\n".join(one.teaching),
                safety="\n".join(one.safety),
                **{name: getattr(one, name) for name in _FACTS},
            )
            for one in ACTIVITIES.values()
        ),
        ignore_conflicts=True,
    )


@transaction.atomic
def add_activity(*, activity: Activity) -> Activity:
    """Save a new activity under a code made from its name."""
    activity.code = _free_code(activity.name)
    activity.save()
    return activity


@transaction.atomic
def retire_activity(*, activity: Activity, retired: bool) -> Activity:
    """No longer offered for new run sheets, or offered again; sheets that have it stay as they are."""
    row = Activity.objects.select_for_update().get(pk=activity.pk)
    row.retired = retired
    row.save(update_fields=["retired"])
    return row


@transaction.atomic
def take_rows(*, rows: Sequence[ActivityRow]) -> tuple[int, int]:
    """Write a table's rows, all or none: how many were added and how many changed."""
    known = {row.code: row for row in Activity.objects.select_for_update()}
    added = changed = 0
    try:
        with transaction.atomic():
            for row in rows:
                one = known.get(row.code)
                if one is None:
                    one = Activity(code=row.code or _free_code(str(row.facts["name"])))
                    added += 1
                else:
                    changed += 1
                for name, value in row.facts.items():
                    setattr(one, name, value)
                one.save()
    except IntegrityError as problem:
        raise Refusal.because(
            "there already",
            "Somebody has added one of these meanwhile, so nothing was saved. Read the file again.",
            "file",
        ) from problem
    return added, changed


def _free_code(name: str) -> str:
    base = slugify(name)[:36]
    if not base:
        raise Refusal.because("no code", "Write a name with letters in it.", "name")
    taken = set(Activity.objects.filter(code__startswith=base).values_list("code", flat=True))
    if base not in taken:
        return base
    number = 2
    while f"{base}-{number}" in taken:
        number += 1
    return f"{base}-{number}"
