"""What the office does for a child that touches spots."""

from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.utils.translation import gettext_lazy

from clinics.formatting import clinic_words
from clinics.models import Clinic
from core.refusal import Reason, Refusal
from families.letters.families import SPOTS
from families.models import Child, Guardianship, PickupPerson, Spot, SpotState
from families.queries.spots import bands_of
from families.rules.spots import age_at, band_of
from families.services.notes_to_guardians import note_to_guardian
from families.services.spot_books import lock_clinic, take_spot
from families.services.spots import offer_free_spots
from people.rules.names import same_name

__all__ = ["change_child", "give_spot"]

_UNFIT = {
    "wrong age": gettext_lazy(
        "%(child)s would be %(age)s at %(clinic)s, which has no group for that age. Give up that spot first."
    ),
    "group full": gettext_lazy(
        "%(child)s would be %(age)s at %(clinic)s, where the group for that age is full. Give up that spot first."
    ),
}


@transaction.atomic
def give_spot(*, clinic: Clinic, child: Child, now: datetime) -> Spot:
    """Give the child a spot, held or waiting, in the office's name, and tell a guardian of a new one.

    That is the first guardian, but one whose address has answered before others, and last one to whom the child is not
    handed.
    """
    clinic = lock_clinic(clinic)
    # Until this is written the child's record can't become part of another.
    child = Child.objects.select_for_update(no_key=True).defer("allergies", "care_notes").get(pk=child.pk)
    known = Spot.objects.live().filter(clinic=clinic, child=child).first()
    if known is not None:
        return known
    away = [one.name for one in PickupPerson.objects.in_force().filter(child=child, must_not=True)]
    links = Guardianship.objects.filter(child=child).select_related("guardian").order_by("pk")
    guardians = [link.guardian for link in links]
    guardians.sort(key=lambda one: (any(same_name(one.name, name) for name in away), not one.confirmed))
    guardian = guardians[0] if guardians else None
    spot = take_spot(clinic=clinic, child=child, guardian=guardian, now=now, by_office=True)
    if guardian is not None:
        note_to_guardian(
            kind=SPOTS,
            what=f"spots {spot.pk}",
            guardian=guardian,
            summary=f"Spot given by our office: {clinic_words(clinic)}",
            now=now,
            clinic=clinic,
        )
    return spot


@transaction.atomic
def change_child(*, child: Child, facts: dict[str, Any], now: datetime) -> Child:
    """Save a child's name, birthday and school, count its age at coming clinics anew, and offer what that frees.

    Raises Refusal when the new birthday fits no group of a clinic where the child has a spot, or a full one.
    """
    coming = Spot.objects.live().filter(child=child, clinic__starts_at__gt=now).exclude(clinic__status="cancelled")
    # Clinics before the child, as whoever registers it does, and always in the same order.
    Clinic.objects.locked_in(coming.values_list("clinic_id", flat=True))
    row = Child.objects.select_for_update(no_key=True, of=("self",)).defer("allergies", "care_notes").get(pk=child.pk)
    born: date = facts["birth_date"]
    reasons, changed = [], []
    if born != row.birth_date:
        for spot in coming.select_related("clinic").order_by("clinic_id"):
            clinic = lock_clinic(spot.clinic)
            age = age_at(born, clinic.day)
            code = _unfit(spot, age, clinic)
            if code:
                told = {"child": row.given_name, "age": max(age, 0), "clinic": clinic}
                reasons.append(Reason(code, _UNFIT[code] % told, "birth_date"))
            else:
                Spot.objects.filter(pk=spot.pk).update(age=age)
                changed.append(clinic)
    if reasons:
        raise Refusal(*reasons)
    # Not save(), which would open what is locked.
    Child.objects.filter(pk=row.pk).update(**facts)
    for clinic in changed:
        offer_free_spots(clinic=clinic, now=now)
    return row


def _unfit(spot: Spot, age: int, clinic: Clinic) -> str:
    """The code of why a spot can't be one of ``age`` from now on; "" when it can."""
    bands = bands_of(clinic)
    band = band_of(age, bands)
    if band is None:
        return "wrong age"
    if spot.state != SpotState.HELD or band == band_of(spot.age, bands):
        return ""
    held = Spot.objects.held().filter(clinic=clinic, age__gte=band.youngest, age__lte=band.oldest).count()
    return "" if held < band.spots else "group full"
