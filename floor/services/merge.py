"""Two records of one child or adult become one: the floor's books follow, and its log is read with what stands."""

from collections.abc import Collection
from datetime import datetime

from django.db.models import Q

from clinics.models import Clinic
from floor.models import AdultHours, FloorAction, FloorDay, MergedNumber, SignIn
from floor.queries.log import read_actions
from floor.services.projecting import project

__all__ = ["lock_floors", "merge_numbers", "settle_twice_in", "write_floors_anew"]


def lock_floors(*, children: Collection[int] = (), volunteers: Collection[int] = ()) -> list[Clinic]:
    """Lock the logs of all clinics where one of these people is, was or is expected, in one order; returns the clinics.

    Call it before locking a child's or a volunteer's own row, as a phone that sends does.
    """
    theirs = (
        Q(clinic__spots__child__in=children)
        | Q(clinic__sign_ins__child__in=children)
        | Q(clinic__sign_ins__volunteer__in=volunteers)
        | Q(clinic__shifts__assignments__volunteer__in=volunteers)
    )
    numbers = list(FloorDay.objects.filter(theirs).values_list("pk", flat=True).distinct())
    list(FloorDay.objects.filter(pk__in=numbers).select_for_update(no_key=True).order_by("pk").values_list("pk"))
    return list(Clinic.objects.filter(floor_day__in=numbers).select_related("center").order_by("pk"))


def settle_twice_in(*, field: str, gone: int, kept: int) -> None:
    """Delete what ``gone`` has in the books of times at which ``kept`` was there. ``field``: "child" or "volunteer"."""
    here = list(SignIn.objects.filter(**{field: kept}))
    for row in SignIn.objects.filter(**{field: gone}):
        if any(_overlap(row, other) for other in here if other.clinic_id == row.clinic_id):
            row.delete()
    if field == "volunteer":
        given = AdultHours.objects.filter(volunteer=kept).values_list("clinic", flat=True)
        AdultHours.objects.filter(volunteer=gone, clinic__in=list(given)).delete()


def merge_numbers(*, was: str, is_now: str, now: datetime) -> None:
    """Read ``was`` as ``is_now`` from here on, in entries of the log and in those that are still on a phone."""
    MergedNumber.objects.filter(is_now=was).update(is_now=is_now)
    MergedNumber.objects.create(was=was, is_now=is_now, merged_at=now)


def write_floors_anew(clinics: Collection[Clinic], now: datetime) -> None:
    """Work out the books of these locked floors anew, where their logs are still kept."""
    kept = set(FloorAction.objects.filter(clinic__in=clinics).values_list("clinic", flat=True).distinct())
    for clinic in clinics:
        if clinic.pk in kept:
            project(clinic, read_actions(clinic), now)


def _overlap(one: SignIn, other: SignIn) -> bool:
    return (other.out_at is None or one.in_at < other.out_at) and (one.out_at is None or other.in_at < one.out_at)
