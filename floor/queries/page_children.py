"""The children of the day as the phone reads them: who may come, who picks them up, what to look out for."""

from typing import Any

from clinics.models import Clinic
from core.formats import long_day
from families.models import Child, PickupPerson, Spot
from families.queries.door import DoorLine, door_lines
from floor.rules.floor_log import FloorState

__all__ = ["children_data", "floor_children", "numbers_of"]


def floor_children(clinic: Clinic, state: FloorState) -> list[Child]:
    """List the children whose notes the phone gets: who holds a spot, waits for one, or has been on the floor."""
    spots = Spot.objects.live() | Spot.objects.filter(child__in=numbers_of(state, "c"))
    rows = spots.filter(clinic=clinic).select_related("child")
    # Whether there is anything to read is known without opening it.
    return list({row.child_id: row.child for row in rows.defer("child__allergies", "child__care_notes")}.values())


def numbers_of(state: FloorState, letter: str) -> set[int]:
    """Numbers of the children ("c") or adults ("v") whom the log names at the door."""
    return {int(who[1:]) for who in state.stays if who[:1] == letter and who[1:].isdecimal()}


def children_data(clinic: Clinic, state: FloorState, groups: dict[str, str]) -> list[dict[str, Any]]:
    """List the children of the day. ``groups``: by the number at the door, the group of the run sheet."""
    # Who waits may still be let in by the lead, and then the same must be known of them.
    # Whoever came in stays on the list, whatever becomes of the spot: somebody must sign them out.
    lines = door_lines(clinic, with_care=True, waiting=True, also=numbers_of(state, "c"))
    photos = _photos(lines)
    return [_child(line, groups, photos) for line in lines]


def _photos(lines: list[DoorLine]) -> dict[int, str]:
    """Photos of who must not pick up, as addresses with the photo in them, so that they show without a signal."""
    rows = PickupPerson.objects.filter(pk__in={one.pk for line in lines for one in line.kept_away if one.has_photo})
    return {pk: f"data:image/jpeg;base64,{photo}" for pk, photo in rows.values_list("pk", "photo")}


def _child(line: DoorLine, groups: dict[str, str], photos: dict[int, str]) -> dict[str, Any]:
    home = line.emergency
    guardians = [row.guardian for row in line.handed_to]
    return {
        "who": f"c{line.child.pk}",
        "name": line.child.name,
        "given": line.child.given_name,
        "age": line.spot.age,
        # By it the phone finds, without signal, that a walk-in may be a child of the list.
        "born": line.child.birth_date.isoformat(),
        "waiver": line.waiver.state,
        "language": next((one.language for one in guardians), "en"),
        "photos": line.photos,
        "allergies": line.child.allergies,
        "allergies_answer": line.child.allergies_answer,
        "care_notes": line.child.care_notes,
        "pickup_people": [
            *({"name": one.name, "phone": one.phone, "relation": "guardian"} for one in guardians),
            *({"name": one.name, "phone": one.phone, "relation": one.relation} for one in line.pickup_people),
        ],
        "must_not": [one.name for one in line.kept_away],
        # Of each of them, in the same order.
        "looks": [{"description": one.description, "photo": photos.get(one.pk, "")} for one in line.kept_away],
        "emergency": {"name": home.emergency_name, "phone": home.emergency_phone}
        if home
        else {"name": "", "phone": ""},
        "state": line.spot.state,
        "group": groups.get(f"c{line.child.pk}", ""),
        # What happened on that day stays with the office.
        "not_cleared": {"since": long_day(line.not_to_play)} if line.not_to_play else None,
    }
