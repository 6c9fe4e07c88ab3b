"""From visits to a run sheet: slots with minutes, adults by name, and each group's time."""

from __future__ import annotations

from collections.abc import Sequence

from clinics.rules.equipment import equipment_for
from runsheets.rules.rotation.active import active_seconds, space_turns
from runsheets.rules.rotation.cyclic import Visits, adults_at
from runsheets.rules.rotation.facts import WAITING, Group, GroupTime, Request, Slot
from runsheets.rules.rotation.names import name_adults
from runsheets.rules.rotation.timeline import Timeline

__all__ = ["slots_of", "times_of"]


def slots_of(request: Request, line: Timeline, visits: Visits) -> tuple[Slot, ...]:
    """Put groups and adults into every stretch of the timeline. At a whole-space stretch every adult is there."""
    everybody = tuple(adult.name for adult in request.adults)
    slots, number, before = [], 0, dict[str, tuple[str, ...]]()
    for item in line.items:
        start = request.start + item.start
        if item.activity is not None:
            code = item.activity.code
            at = {group.code: code for group in request.groups}
            slots.append(Slot(item.kind, start, item.minutes, at, {code: everybody}))
            continue
        here = {group.code: visits[place][number] for place, group in enumerate(request.groups)}
        needs = {}
        for one in (*request.stations, None):
            groups = [group for group in request.groups if here[group.code] == one]
            if groups:
                needs[one.code if one else WAITING] = (adults_at(request, one, groups), one.skill if one else "")
        before, spare = name_adults(request.adults, needs, before)
        stations = {code: one.code if one else WAITING for code, one in here.items()}
        slots.append(Slot(item.kind, start, item.minutes, stations, before, spare))
        number += 1
    return tuple(slots)


def times_of(request: Request, slots: Sequence[Slot], whole: int) -> dict[str, GroupTime]:
    """Divide a clinic of ``whole`` minutes into each group's times (see rotation/active.py for the formula)."""
    by_code = {one.code: one for one in request.activities}
    size = {group.code: group.children for group in request.groups}
    times = {}
    for group in request.groups:
        active = court = 0
        for slot in slots:
            code = slot.stations.get(group.code, WAITING)
            if code == WAITING:
                court += slot.minutes
                continue
            one = by_code[code]
            if not one.moving:
                continue
            together = sum(size.get(other, 0) for other, at in slot.stations.items() if at == code)
            places = space_turns(one, request.floor, together) if one.whole_space else None
            active += active_seconds(one, together, slot.minutes, places)
            court += slot.minutes
        times[group.code] = _time(group, active / 60, court, whole)
    return times


def _time(group: Group, active: float, court: int, whole: int) -> GroupTime:
    young, old = equipment_for(group.youngest), equipment_for(group.oldest)
    sizes = tuple(sorted({*young.ball_sizes, *old.ball_sizes}))
    return GroupTime(group.code, active, court - active, whole - court, sizes, young.rim_ft)
