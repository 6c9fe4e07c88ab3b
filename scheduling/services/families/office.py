"""What the office does for a child that touches places."""

from datetime import date, datetime
from typing import Any

from django.db import transaction

from clinics.models import Clinic, Place
from clinics.rules.places import band_of
from clinics.services.places import age_at, bands_of, lock_clinic, take_place
from config.refusal import Reason, Refusal
from people.models import Child, Guardianship
from scheduling.models import NoteKind
from scheduling.services.outbox import note_to_guardian
from scheduling.words import clinic_words

__all__ = ["change_child", "give_place"]


@transaction.atomic
def give_place(*, clinic: Clinic, child: Child, now: datetime) -> Place:
    """A place by the office, held or waiting; the child's first guardian is told where it is a new one."""
    clinic = lock_clinic(clinic)
    # Until this is written the child's record can't become part of another.
    child = Child.objects.select_for_update(no_key=True).defer("allergies", "care_notes").get(pk=child.pk)
    known = Place.objects.live().filter(clinic=clinic, child=child).first()
    if known is not None:
        return known
    first = Guardianship.objects.filter(child=child).select_related("guardian").order_by("pk").first()
    guardian = first.guardian if first is not None else None
    place = take_place(clinic=clinic, child=child, guardian=guardian, now=now, by_office=True)
    if guardian is not None:
        note_to_guardian(
            kind=NoteKind.PLACES,
            what=f"places {place.pk}",
            guardian=guardian,
            summary=f"A place by the office: {clinic_words(clinic)}",
            now=now,
            clinic=clinic,
        )
    return place


@transaction.atomic
def change_child(*, child: Child, facts: dict[str, Any], now: datetime) -> Child:
    """Name, birthday and school of a child; the age at each coming clinic follows.

    Raises Refusal when the new birthday fits no group of a clinic where the child has a place.
    """
    row = Child.objects.select_for_update(no_key=True, of=("self",)).defer("allergies", "care_notes").get(pk=child.pk)
    born: date = facts["birth_date"]
    reasons = []
    if born != row.birth_date:
        coming = Place.objects.live().filter(child=row, clinic__starts_at__gt=now).exclude(clinic__status="cancelled")
        # Always in the same order, so that two changes never wait for each other.
        for place in coming.select_related("clinic").order_by("clinic_id"):
            clinic = lock_clinic(place.clinic)
            age = age_at(born, clinic.day)
            if band_of(age, bands_of(clinic)) is None:
                words = f"{row.given_name} would be {max(age, 0)} at {clinic}, which has no group of that age."
                reasons.append(Reason("wrong age", f"{words} Give up that place first.", "birth_date"))
            else:
                Place.objects.filter(pk=place.pk).update(age=age)
    if reasons:
        raise Refusal(*reasons)
    # Not save(), which would open what is locked.
    Child.objects.filter(pk=row.pk).update(**facts)
    return row
