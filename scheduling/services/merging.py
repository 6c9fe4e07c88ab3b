"""Two records of one volunteer become one."""

from datetime import datetime

from django.db import IntegrityError, transaction

from clinics.models import Clinic
from config.one_record import become_one
from config.refusal import Refusal
from people.models import AddressChange, Volunteer
from scheduling.models import Assignment, Away, KeptApart, Limits, Standby, WeeklyWindow
from scheduling.services.floor.joined import join_numbers, lock_floors, settle_twice_in, write_floors_anew

__all__ = ["merge_volunteers"]


@transaction.atomic
def merge_volunteers(*, keep: Volunteer, other: Volunteer, now: datetime) -> Volunteer:
    """Make two records of one person one, with nothing lost: 1 lock, 2 move what is the other's, 3 remove it.

    Locked as everywhere: floors' logs, clinics, people. Refused ("two places") when the two are down for two clinics at
    one time, since one of the records must then be somebody else's.
    """
    if keep.pk == other.pk:
        raise Refusal.because("same record", "Choose another record to put into this one.")
    pks = [keep.pk, other.pk]
    floors = lock_floors(volunteers=pks)
    coming = Assignment.objects.filter(volunteer__in=pks, shift__clinic__ends_at__gt=now)
    Clinic.objects.locked_in(coming.values_list("shift__clinic", flat=True))
    rows = {row.pk: row for row in Volunteer.objects.select_for_update(no_key=True).filter(pk__in=pks).order_by("pk")}
    if len(rows) < len(pks):
        raise Refusal.because("same record", "The two are one record already.")
    kept, gone = rows[keep.pk], rows[other.pk]
    _told(gone, kept)
    _kept_apart(gone, kept)
    settle_twice_in(field="volunteer", gone=gone.pk, kept=kept.pk)
    join_numbers(was=f"v{gone.pk}", is_now=f"v{kept.pk}", now=now)
    _facts(gone, kept)
    try:
        with transaction.atomic():
            become_one(gone=gone, kept=kept, but=(AddressChange, Away, KeptApart, Limits, Standby, WeeklyWindow))
    except IntegrityError as problem:
        raise Refusal.because(
            "two places", f"{kept} and {other} are down for two clinics at one time, so they can't be one person."
        ) from problem
    kept.save()
    write_floors_anew(floors, now)
    return kept


def _told(gone: Volunteer, kept: Volunteer) -> None:
    """What people say of themselves: the kept record's word stands, and the other's where it says nothing."""
    known = Away.objects.filter(volunteer=kept).values("first_day")
    Away.objects.filter(volunteer=gone).exclude(first_day__in=known).update(volunteer=kept)
    for model in (WeeklyWindow, Limits):
        if not model.objects.filter(volunteer=kept).exists():
            model.objects.filter(volunteer=gone).update(volunteer=kept)
    for row in Standby.objects.filter(volunteer=gone):
        if not Standby.objects.filter(volunteer=kept, clinic=row.clinic_id, duty=row.duty).exists():
            row.volunteer = kept
            row.save()
    # A new address that was never confirmed is asked for again; the answered ones are part of the story.
    AddressChange.objects.filter(volunteer=gone, confirmed_at__isnull=False).update(volunteer=kept)


def _kept_apart(gone: Volunteer, kept: Volunteer) -> None:
    """Whoever was kept apart from one of the two is kept apart from the one."""
    for row in KeptApart.objects.filter(one=gone) | KeptApart.objects.filter(other=gone):
        whom = row.other_id if row.one_id == gone.pk else row.one_id
        row.delete()
        if whom != kept.pk:
            first, second = sorted((whom, kept.pk))
            KeptApart.objects.get_or_create(one_id=first, other_id=second)


def _facts(gone: Volunteer, kept: Volunteer) -> None:
    if kept.adult:
        kept.duties = list(dict.fromkeys([*kept.duties, *gone.duties]))
    kept.phone = kept.phone or gone.phone
    kept.home_area = kept.home_area or gone.home_area
    if kept.home is None:
        kept.latitude, kept.longitude = gone.latitude, gone.longitude
    kept.reminders = kept.reminders and gone.reminders
