"""What the floor's day came to, for the office: who was there, who gave how many hours, what went wrong, what grew."""

from dataclasses import dataclass, field

from clinics.models import Clinic
from families.models import Child, Spot
from floor.models import AdultHours, FloorDay, Incident, SignIn
from floor.queries.conflicts import OpenConflict, open_conflicts
from floor.queries.growth import GrowthLine, growth_lines
from floor.queries.log import floor_state
from floor.queries.released import Released, released_on
from floor.queries.twins import TwinPair, twin_pairs
from people.models import Volunteer
from shifts.models import Assignment

__all__ = ["AdultLine", "ChildLine", "FloorDayPage", "floor_day_page"]


@dataclass
class ChildLine:
    child: Child
    stays: list[SignIn] = field(default_factory=list)
    has_spot: bool = True
    # By the number of the entry: went home with a name like that of somebody who must not pick up.
    released: dict[str, Released] = field(default_factory=dict)

    @property
    def told(self) -> list[tuple[SignIn, Released | None]]:
        return [(stay, self.released.get(str(stay.out_action))) for stay in self.stays]

    @property
    def still_in(self) -> bool:
        return any(stay.out_at is None for stay in self.stays)


@dataclass(frozen=True)
class AdultLine:
    """One adult, whatever number of shifts; ``duties`` of them. Who came and was taken off since is here too."""

    volunteer: Volunteer
    duties: str
    stays: list[SignIn]
    minutes: int | None


@dataclass(frozen=True)
class FloorDayPage:
    children: list[ChildLine]
    adults: list[AdultLine]
    incidents: list[Incident]
    growth: list[GrowthLine]
    day: FloorDay | None
    conflicts: list[OpenConflict]
    # What one phone said and another said otherwise, so that it stands beside no child.
    released_apart: list[Released]
    twins: list[TwinPair] = field(default_factory=list)

    @property
    def came(self) -> int:
        return sum(bool(line.stays) for line in self.children)

    @property
    def still_in(self) -> list[ChildLine]:
        return [line for line in self.children if line.still_in]


def floor_day_page(clinic: Clinic, *, with_incidents: bool) -> FloorDayPage:
    """Read what the floor's day came to, in a constant number of queries.

    ``with_incidents`` only for somebody who may read what is locked.
    """
    stays = list(SignIn.objects.filter(clinic=clinic).order_by("in_at"))
    lines: dict[int, ChildLine] = {}
    spots = Spot.objects.filter(clinic=clinic, state="held").select_related("child")
    for spot in spots.defer("child__allergies", "child__care_notes"):
        lines[spot.child_id] = ChildLine(spot.child)
    others = Child.objects.defer("allergies", "care_notes").in_bulk(
        [stay.child_id for stay in stays if stay.child_id and stay.child_id not in lines]
    )
    for pk, child in others.items():
        lines[pk] = ChildLine(child, has_spot=False)
    adult_stays: dict[int, list[SignIn]] = {}
    for stay in stays:
        if stay.child_id is not None:
            lines[stay.child_id].stays.append(stay)
        elif stay.volunteer_id is not None:
            adult_stays.setdefault(stay.volunteer_id, []).append(stay)
    minutes = dict(AdultHours.objects.filter(clinic=clinic).values_list("volunteer_id", "minutes"))
    incidents = Incident.objects.filter(clinic=clinic).select_related("child", "volunteer").order_by("at")
    day = FloorDay.objects.filter(clinic=clinic).first()
    released = {one.action: one for one in released_on([day] if day is not None else [])}
    for line in lines.values():
        line.released = released
    shown = {str(stay.out_action) for stay in stays}
    # Worked out of the log only where there is something to settle.
    state = floor_state(clinic) if day is not None and (day.conflicts or day.twins) else None
    return FloorDayPage(
        children=sorted(lines.values(), key=lambda line: line.child.name.casefold()),
        adults=_adults(clinic, adult_stays, minutes),
        incidents=list(incidents) if with_incidents else [],
        growth=growth_lines(clinic),
        day=day,
        released_apart=[one for one in released.values() if one.action not in shown],
        conflicts=open_conflicts(state) if state else [],
        twins=[pair for pair in twin_pairs(clinic, state, guardians=True) if pair.said != "apart"] if state else [],
    )


def _adults(clinic: Clinic, stays: dict[int, list[SignIn]], minutes: dict[int, int]) -> list[AdultLine]:
    """Two queries."""
    rows = Assignment.objects.on_floor().filter(shift__clinic=clinic).select_related("volunteer", "shift")
    people: dict[int, Volunteer] = {}
    duties: dict[int, list[str]] = {}
    for row in rows.order_by("shift__position"):
        people[row.volunteer_id] = row.volunteer
        duties.setdefault(row.volunteer_id, []).append(row.shift.duty_name)
    there = ({*stays} | {*minutes}) - set(people)
    people |= {one.pk: one for one in Volunteer.objects.filter(pk__in=there).order_by("name", "pk")}
    return [
        AdultLine(one, ", ".join(duties.get(pk, ["taken off the shift"])), stays.get(pk, []), minutes.get(pk))
        for pk, one in people.items()
    ]
