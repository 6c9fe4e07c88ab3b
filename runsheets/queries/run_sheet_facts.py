"""What a run sheet is made from, as it stands now: hours, space, balls, adults and children."""

import re
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext

from clinics.hooks import space_of
from clinics.models import Clinic, Status
from families.models import Experience, Guardianship, Spot
from kits.models import KitBooking
from kits.rules.pack_list import spread_ages
from people.models import duties
from people.queries.standing import open_book
from people.words.standing import why_not
from shifts.models import Assignment

__all__ = ["SheetChild", "expected_ages", "facts_now", "sheet_children"]

_BALL = re.compile(r"\bballs?\b", re.IGNORECASE)


@dataclass(frozen=True)
class SheetChild:
    """A child who holds a spot, as grouping sees it."""

    pk: int
    name: str
    age: int
    advanced: bool
    guardians: frozenset[int]


def sheet_children(clinic: Clinic) -> list[SheetChild]:
    """List the children who hold a spot, with their age on the day and their guardians. Two queries."""
    spots = list(
        Spot.objects.held()
        .filter(clinic=clinic)
        .select_related("child")
        .only("age", "child__name", "child__experience")
    )
    homes: dict[int, set[int]] = {}
    rows = Guardianship.objects.filter(child_id__in=[row.child_id for row in spots])
    for child, guardian in rows.values_list("child_id", "guardian_id"):
        homes.setdefault(child, set()).add(guardian)
    return sorted(
        (
            SheetChild(
                row.child_id,
                row.child.name,
                row.age,
                row.child.experience == Experience.TEAM,
                frozenset(homes.get(row.child_id, ())),
            )
            for row in spots
        ),
        key=lambda one: (one.age, one.name.casefold(), one.pk),
    )


def expected_ages(clinic: Clinic) -> list[int]:
    """List an age for each expected child, spread evenly over the bands."""
    return sorted(spread_ages([(band.youngest, band.oldest, band.children) for band in clinic.bands.all()]))


def facts_now(clinic: Clinic, children: int) -> dict[str, Any]:
    """Gather everything but activities and groups as JSON data, in a constant number of queries.

    Where no kit says how many balls there are, there is one for each of ``children``.
    """
    space = space_of.ask_one(clinic)
    balls, kit = _balls(clinic)
    adults, left_out, door = _adults(clinic)
    return {
        "minutes": int((clinic.ends_at - clinic.starts_at).total_seconds() // 60),
        "starts_at": clinic.starts_at.isoformat(),
        "ends_at": clinic.ends_at.isoformat(),
        "space": space.name if space else "",
        "floor": {
            "hoops": space.hoops if space else 0,
            "balls": children if balls is None else balls,
            "capacity": space.capacity if space else None,
            # None: nobody has counted them, so as many as are needed.
            "tables": space.tables if space else None,
            "sockets": space.sockets if space else None,
        },
        "kit": kit,
        "adults": adults,
        "left_out": left_out,
        "door": door,
        "tables": [table.code for table in clinic.ratio_tables],
    }


def _balls(clinic: Clinic) -> tuple[int | None, str]:
    """Balls that can be used on the day, and the kit they are in; None where the kit says nothing of balls."""
    held = (
        KitBooking.objects.exclude(status=Status.CANCELLED)
        .filter(clinic=clinic)
        .select_related("kit")
        .prefetch_related("kit__items__losses")
        .first()
    )
    if held is None:
        return None, ""
    items = [item for item in held.kit.items.all() if _BALL.search(item.name) and "pump" not in item.name.lower()]
    if not items:
        return None, held.kit.name
    return sum(item.held().usable(clinic.day) for item in items), held.kit.name


def _adults(clinic: Clinic) -> tuple[list[dict[str, Any]], list[dict[str, str]], list[str]]:
    """Who leads and looks after groups; who has accepted and does not count, and why; and who is at the door."""
    rows = list(
        Assignment.objects.accepted()
        .filter(shift__clinic=clinic)
        .select_related("volunteer", "shift")
        .order_by("shift__position", "pk")
    )
    book = open_book(row.volunteer_id for row in rows)
    place = clinic.center.place
    adults: list[dict[str, Any]] = []
    left_out, door = [], []
    taken: set[str] = set()
    for row in rows:
        person, duty = row.volunteer, row.shift.duty_id
        if not person.adult or not duties().counts(duty):
            left_out.append({"name": person.name, "why": gettext("a helper (doesn’t count as an adult)")})
            continue
        standing = book.on(person.pk, duty, clinic.day, place)
        if not standing.ok:
            left_out.append(
                {"name": person.name, "why": "; ".join(why_not(standing, book.kind_names, clinic.day, clinic.day))}
            )
            continue
        if duty == "door":
            door.append(person.name)
            continue
        # What else they can do holds only where their clearances are current for that duty too.
        able = [duty, *(one for one in person.duties if one != duty and book.on(person.pk, one, clinic.day, place).ok)]
        name, number = person.name, 2
        while name in taken:
            name, number = f"{person.name} ({number})", number + 1
        taken.add(name)
        adults.append(
            {
                "who": person.pk,
                "name": name,
                "duty": duties().name(duty),
                "skills": sorted(
                    {duties().name(one).casefold() for one in able} | {one.replace("_", " ") for one in able}
                ),
            }
        )
    return adults, left_out, door
