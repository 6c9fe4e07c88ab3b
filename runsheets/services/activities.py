"""Activities: the house's own to start from, and what the office adds and archives."""

from django.db import transaction
from django.utils.text import slugify
from django.utils.translation import gettext

from core.refusal import Refusal
from runsheets.models import Activity
from runsheets.rules.activities import ACTIVITIES
from runsheets.rules.activity_rows import ACTIVITY_HEAD, LINES

__all__ = ["add_activity", "ensure_activities", "free_code", "retire_activity"]


def ensure_activities() -> None:
    """Write the activities of the house where they are missing; never changes one that is there."""
    Activity.objects.bulk_create(
        (
            Activity(
                **{
                    name: "\n".join(getattr(one, name)) if name in LINES else getattr(one, name)
                    for name in ACTIVITY_HEAD
                }
            )
            for one in ACTIVITIES.values()
        ),
        ignore_conflicts=True,
    )


@transaction.atomic
def add_activity(*, activity: Activity) -> Activity:
    """Save a new activity under a code made from its name."""
    activity.code = free_code(activity.name)
    activity.save()
    return activity


@transaction.atomic
def retire_activity(*, activity: Activity, retired: bool) -> Activity:
    """Stop offering an activity for new run sheets, or offer it again. Sheets that have it stay as they are."""
    row = Activity.objects.select_for_update(no_key=True).get(pk=activity.pk)
    row.retired = retired
    row.save(update_fields=["retired"])
    return row


def free_code(name: str) -> str:
    """Make a code from the name that no activity has. Raises Refusal "no code" for a name without letters."""
    base = slugify(name)[:36]
    if not base:
        raise Refusal.because("no code", gettext("Enter a name that has letters in it."), "name")
    taken = set(Activity.objects.filter(code__startswith=base).values_list("code", flat=True))
    if base not in taken:
        return base
    number = 2
    while f"{base}-{number}" in taken:
        number += 1
    return f"{base}-{number}"
