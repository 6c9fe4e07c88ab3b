"""When a mailed link shows that two records are one household, or the door that two are one child."""

from datetime import datetime

from django.db import transaction

from clinics.models import Clinic
from core.hooks import within
from core.merge import declared, merge_rows, settled
from families import hooks
from families.models import (
    Child,
    Experience,
    FamilyRequest,
    Guardian,
    GuardianAddress,
    Guardianship,
    PhotoAnswer,
    PickupPerson,
    Spot,
    SpotState,
)
from families.rules.allergies import of_both
from families.services.households import answer_photo, confirm_guardian
from families.services.looks import carry_looks
from families.services.spots import end_spot
from outbox.services.subjects import turn_language
from people.rules.names import same_name

__all__ = ["confirm_household", "merge_children", "merge_households"]


@transaction.atomic
def confirm_household(*, guardian: Guardian, now: datetime) -> Guardian:
    """Record that the address answered: the household stands, or becomes part of the one that stood under it before.

    Returns the guardian who stands.
    """
    # Clinics, and what is locked before them, before people: whoever moves one holds it while writing to its guardians.
    before = Guardian.objects.confirmed_at_address(guardian.email) if guardian.email else Guardian.objects.none()
    theirs = Child.objects.filter(guardianships__guardian__in=[guardian.pk, *before.values_list("pk", flat=True)])
    hooks.lock_before_children.ask(list(theirs.values_list("pk", flat=True)))
    spots = Spot.objects.live().filter(child__in=theirs, clinic__ends_at__gt=now)
    Clinic.objects.locked_in(spots.values_list("clinic", flat=True))
    known = confirm_guardian(guardian=guardian, now=now)
    if known is None:
        return Guardian.objects.get(pk=guardian.pk)
    merge_households(new=guardian, known=known, now=now)
    return known


@transaction.atomic
def merge_households(*, new: Guardian, known: Guardian, now: datetime) -> None:
    """Put ``new`` into ``known``: 1 children of one name and birthday become one, 2 the others move, 3 ``new`` goes.

    What was typed last replaces what was there, and what it leaves empty stays. An allergy or a care note stays beside
    what is written now, since whoever typed the new one did not see the earlier one. A second spot of the same child
    at the same clinic ends and goes to the next who waits. A child that another guardian has too stays a row of its
    own: what that guardian wrote of it is not theirs to give away.
    """
    both = Child.objects.filter(guardianships__guardian__in=[new, known])
    with within(hooks.hold_for_merge.ask(list(both.values_list("pk", flat=True)), now)):
        # A spot that comes free is passed on under the clinic's lock, to whoever waits: not to a household that just
        # went.
        Clinic.objects.locked_in(Spot.objects.live().filter(child__in=both).values_list("clinic", flat=True))
        _children(new, known, now)
        known.phone = new.phone or known.phone
        known.language = new.language
        known.reminders = known.reminders and new.reminders
        known.save()
        turn_language(about=known, language=known.language)
        _one_open(new, known)
        merge_rows(gone=new, kept=known, but=settled(declared(hooks.guardian_keys)))


@transaction.atomic
def merge_children(*, gone: Child, kept: Child, now: datetime) -> Child:
    """Put ``gone`` into ``kept``, with everything of both; returns the child who stays.

    1 lock the floors and clinics of both, 2 join what is known, 3 guardians of both stay, and one of the same name and
    phone number is one person, 4 a no to photos of either stays a no, 5 ``gone`` goes.
    """
    numbers = [gone.pk, kept.pk]
    with within(hooks.hold_for_merge.ask(numbers, now)):
        Clinic.objects.locked_in(Spot.objects.live().filter(child__in=numbers).values_list("clinic", flat=True))
        rows = Child.objects.select_for_update(no_key=True, of=("self",)).order_by("pk").in_bulk(numbers)
        child, twin = rows[gone.pk], rows[kept.pk]
        no_photos = any(answer is False for answer in _photo_answers(numbers))
        _join(child, twin, now)
        for row in Guardianship.objects.filter(child=child).select_related("guardian").order_by("pk"):
            _move_guardian(row, twin)
        hooks.settle_two.ask(child, twin, now)
        merge_rows(gone=child, kept=twin, but=settled(declared(hooks.child_keys)))
        if no_photos and all(answer for answer in _photo_answers([twin.pk])):
            first = Guardianship.objects.filter(child=twin).select_related("guardian").order_by("pk").first()
            answer_photo(child=twin, guardian=first.guardian if first else None, allowed=False, now=now)
    return twin


def _join(child: Child, twin: Child, now: datetime) -> None:
    """What is written of ``child`` stands beside what is written of ``twin``; a hold on either is a hold on both."""
    if twin.experience == Experience.NEW:
        twin.experience = child.experience
    twin.school_year = twin.school_year or child.school_year
    twin.held_because = twin.held_because or child.held_because
    twin.redacted_at = child.redacted_at and twin.redacted_at
    twin.allergies = _both(twin.allergies, child.allergies)
    twin.allergies_answer = of_both(twin.allergies_answer, child.allergies_answer)
    twin.care_notes = _both(twin.care_notes, child.care_notes)
    twin.save()
    _one_spot_each(child, twin, now)
    _pickup_people(child, twin, None, now)


def _move_guardian(row: Guardianship, twin: Child) -> None:
    """A guardian typed at the door whom the twin has already, by name and phone number, is that guardian."""
    others = Guardianship.objects.filter(child=twin).select_related("guardian").order_by("pk")
    new = row.guardian
    known = next((one.guardian for one in others if _same_guardian(new, one.guardian)), None)
    if known is None:
        row.child = twin
        row.save(update_fields=["child"])
    elif known != new and not new.email and not new.confirmed and new.guardianships.count() == 1:
        contact = {"emergency_name": row.emergency_name, "emergency_phone": row.emergency_phone}
        Guardianship.objects.filter(guardian=known, child=twin, emergency_phone="").update(**contact)
        _one_open(new, known)
        merge_rows(gone=new, kept=known, but=settled(declared(hooks.guardian_keys)))
    elif known != new:
        row.child = twin
        row.save(update_fields=["child"])


def _same_guardian(one: Guardian, other: Guardian) -> bool:
    ours, theirs = ("".join(filter(str.isdigit, who.phone)) for who in (one, other))
    return one == other or (bool(ours) and ours == theirs and same_name(one.name, other.name))


def _photo_answers(numbers: list[int]) -> list[bool]:
    """What each guardian said last of each of these children."""
    rows = PhotoAnswer.objects.filter(child__in=numbers).distinct("child_id", "guardian_id")
    return list(rows.order_by("child_id", "guardian_id", "-answered_at", "-pk").values_list("allowed", flat=True))


def _children(new: Guardian, known: Guardian, now: datetime) -> None:
    ours = list(Child.objects.select_for_update(no_key=True, of=("self",)).filter(guardianships__guardian=known))
    for child in Child.objects.select_for_update(no_key=True, of=("self",)).filter(guardianships__guardian=new):
        shared = Guardianship.objects.filter(child=child).exclude(guardian=new).exists()
        twin = None if shared else next((one for one in ours if _same(one, child)), None)
        if child in ours:
            # Invited to a child that is theirs already.
            Guardianship.objects.filter(guardian=new, child=child).delete()
            PickupPerson.objects.filter(named_by=new, child=child).update(named_by=known)
        elif twin is None:
            Guardianship.objects.filter(guardian=new, child=child).update(guardian=known)
            PickupPerson.objects.filter(named_by=new, child=child).update(named_by=known)
        else:
            _into(child, twin, new, known, now)


def _one_open(new: Guardian, known: Guardian) -> None:
    """Of what may be open once for a guardian, theirs stays who stays: an address not confirmed yet, a request."""
    waiting = FamilyRequest.objects.filter(state=FamilyRequest.State.WAITING)
    waiting.filter(guardian=new, what__in=waiting.filter(guardian=known).values("what")).delete()
    asked = GuardianAddress.objects.filter(confirmed_at=None)
    if asked.filter(guardian=known).exists():
        asked.filter(guardian=new).delete()


def _into(child: Child, twin: Child, new: Guardian, known: Guardian, now: datetime) -> None:
    """Everything of ``child`` goes to ``twin``, the same child as the known guardian has."""
    twin.experience, twin.school_year = child.experience, child.school_year or twin.school_year
    twin.redacted_at = child.redacted_at and twin.redacted_at
    twin.allergies = _both(child.allergies, twin.allergies)
    twin.allergies_answer = of_both(child.allergies_answer, twin.allergies_answer)
    twin.care_notes = _both(child.care_notes, twin.care_notes)
    twin.save()
    fresh = Guardianship.objects.get(guardian=new, child=child)
    Guardianship.objects.filter(guardian=known, child=twin).update(
        emergency_name=fresh.emergency_name, emergency_phone=fresh.emergency_phone
    )
    _one_spot_each(child, twin, now)
    _pickup_people(child, twin, known, now)
    hooks.settle_two.ask(child, twin, now)
    merge_rows(gone=child, kept=twin, but=settled(declared(hooks.child_keys)))


def _one_spot_each(child: Child, twin: Child, now: datetime) -> None:
    """Of two spots at one clinic the better stays."""
    there = {spot.clinic_id: spot for spot in Spot.objects.live().filter(child=twin)}
    for spot in Spot.objects.live().filter(child=child, clinic__in=list(there)).select_related("clinic__center"):
        other = there[spot.clinic_id]
        worse = other if spot.state == SpotState.HELD != other.state else spot
        end_spot(spot=worse, because="the child had a place already", now=now)


def _both(now: str, before: str) -> str:
    if now.casefold() in before.casefold():
        return before
    return now if before.casefold() in now.casefold() else f"{now}\n{before}"


def _pickup_people(child: Child, twin: Child, known: Guardian | None, now: datetime) -> None:
    """Each name once; someone whom the office keeps away stays so, whatever else is said of that name.

    With ``known`` it is that guardian who names them from here on.
    """
    here = list(PickupPerson.objects.in_force().filter(child=twin))
    for row in PickupPerson.objects.filter(child=child):
        alike = [one for one in here if same_name(one.name, row.name)]
        if any(one.must_not or not row.must_not for one in alike):
            for one in alike:
                if one.must_not:
                    carry_looks(row, one)
            row.delete()
        elif not row.must_not:
            row.named_by = known or row.named_by
            row.save()
        elif row.ended_at is None:
            PickupPerson.objects.filter(pk__in=[one.pk for one in alike]).update(ended_at=now)


def _same(one: Child, other: Child) -> bool:
    return one.birth_date == other.birth_date and _words(one.name) == _words(other.name)


def _words(name: str) -> list[str]:
    return name.casefold().split()
