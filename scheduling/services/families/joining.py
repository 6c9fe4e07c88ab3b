"""When a mailed link shows that two records are one household."""

from datetime import datetime

from django.db import transaction

from clinics.models import Place, Registration
from people.models import Child, Collector, Guardian, Guardianship, PhotoAnswer, Waiver
from people.services.families import confirm_guardian
from scheduling.models import Note
from scheduling.services.families.places import end_place

__all__ = ["confirm_household", "join_households"]


@transaction.atomic
def confirm_household(*, guardian: Guardian, now: datetime) -> Guardian:
    """The address answered: the household stands, or becomes part of the one that stood under it before."""
    known = confirm_guardian(guardian=guardian, now=now)
    if known is None:
        return Guardian.objects.get(pk=guardian.pk)
    join_households(new=guardian, known=known, now=now)
    return known


@transaction.atomic
def join_households(*, new: Guardian, known: Guardian, now: datetime) -> None:
    """Put ``new`` into ``known``: 1 children of one name and birthday become one, 2 the others move, 3 ``new`` goes.

    What was typed last wins where it says something; what it leaves empty stays as it was. A second place of the same
    child at the same clinic ends and goes to the next who waits. A child that another guardian has too stays a row of
    its own: what that guardian wrote of it is not theirs to give away.
    """
    ours = list(Child.objects.select_for_update(of=("self",)).filter(guardianships__guardian=known))
    for child in Child.objects.select_for_update(of=("self",)).filter(guardianships__guardian=new):
        shared = Guardianship.objects.filter(child=child).exclude(guardian=new).exists()
        twin = None if shared else next((one for one in ours if _same(one, child)), None)
        if child in ours:
            # Invited to a child that is theirs already.
            Guardianship.objects.filter(guardian=new, child=child).delete()
            Collector.objects.filter(named_by=new, child=child).update(named_by=known)
        elif twin is None:
            Guardianship.objects.filter(guardian=new, child=child).update(guardian=known)
            Collector.objects.filter(named_by=new, child=child).update(named_by=known)
        else:
            _into(child, twin, new, known, now)
    Place.objects.filter(guardian=new).update(guardian=known)
    Waiver.objects.filter(guardian=new).update(guardian=known)
    PhotoAnswer.objects.filter(guardian=new).update(guardian=known)
    Registration.objects.filter(guardian=new).update(guardian=known)
    Note.objects.filter(guardian=new).update(guardian=known)
    known.phone = new.phone or known.phone
    known.language = new.language
    known.save()
    new.delete()


def _into(child: Child, twin: Child, new: Guardian, known: Guardian, now: datetime) -> None:
    """Everything of ``child`` goes to ``twin``, the same child as the known guardian has."""
    twin.experience, twin.school_year = child.experience, child.school_year or twin.school_year
    twin.allergies, twin.care_notes = child.allergies or twin.allergies, child.care_notes or twin.care_notes
    twin.save()
    fresh = Guardianship.objects.get(guardian=new, child=child)
    Guardianship.objects.filter(guardian=known, child=twin).update(
        emergency_name=fresh.emergency_name, emergency_phone=fresh.emergency_phone
    )
    there = Place.objects.live().filter(child=twin).values_list("clinic_id", flat=True)
    for place in Place.objects.live().filter(child=child, clinic__in=list(there)).select_related("clinic__center"):
        end_place(place=place, because="the child had a place already", now=now)
    Place.objects.filter(child=child).update(child=twin)
    Waiver.objects.filter(child=child).update(child=twin)
    PhotoAnswer.objects.filter(child=child).update(child=twin)
    names = {name.casefold() for name in Collector.objects.standing().filter(child=twin).values_list("name", flat=True)}
    for collector in Collector.objects.filter(child=child):
        if collector.name.casefold() in names:
            collector.delete()
        else:
            collector.child, collector.named_by = twin, known
            collector.save()
    child.delete()


def _same(one: Child, other: Child) -> bool:
    return one.birth_date == other.birth_date and _words(one.name) == _words(other.name)


def _words(name: str) -> list[str]:
    return name.casefold().split()
