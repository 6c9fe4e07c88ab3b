"""Everything that we keep of one guardian and their children, for the copy that they asked for."""

from dataclasses import dataclass

from django.db.models import Prefetch, Q, QuerySet

from families.models import Child, Guardian, Guardianship, PhotoAnswer, PickupPerson, Spot, Waiver

__all__ = ["ChildCopy", "family_copy"]


@dataclass(frozen=True)
class ChildCopy:
    """What this guardian wrote, and what concerns the child alone; nothing of another guardian.

    Where the child will be with the other one is that one's too: of spots only those that this guardian asked for, and
    those that nobody did.
    """

    child: Child
    guardianship: Guardianship
    pickup_people: list[PickupPerson]
    waivers: list[Waiver]
    photos: list[PhotoAnswer]
    spots: list[Spot]


def family_copy(guardian: Guardian) -> list[ChildCopy]:
    """List each child of the guardian with all that the copy holds, in a constant number of queries."""
    mine = Q(guardian=guardian)
    asked = mine | Q(guardian=None)
    spots: QuerySet[Spot] = Spot.objects.filter(asked).select_related("clinic__center").order_by("clinic__starts_at")
    rows = guardian.guardianships.select_related("child").prefetch_related(
        Prefetch("child__pickup_people", PickupPerson.objects.filter(named_by=guardian), to_attr="own_pickup_people"),
        Prefetch("child__waivers", Waiver.objects.filter(mine).select_related("text"), to_attr="own_waivers"),
        Prefetch("child__photo_answers", PhotoAnswer.objects.filter(mine), to_attr="own_photos"),
        Prefetch("child__spots", spots, to_attr="all_spots"),
    )
    return [
        ChildCopy(
            child=row.child,
            guardianship=row,
            pickup_people=row.child.own_pickup_people,  # type: ignore[attr-defined]
            waivers=row.child.own_waivers,  # type: ignore[attr-defined]
            photos=row.child.own_photos,  # type: ignore[attr-defined]
            spots=row.child.all_spots,  # type: ignore[attr-defined]
        )
        for row in rows
    ]
