"""The rest of a run sheet that has begun, or begins late, or with other adults than were planned."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from core.rules.refused import Refused
from runsheets.rules.rotation.facts import Adult, Floor, Group, RunSheet, Slot
from runsheets.rules.rotation.intake import adults_of
from runsheets.rules.rotation.plan import plan_of

__all__ = ["replan"]


def replan(
    sheet: RunSheet,
    done_minutes: int,
    *,
    now_minute: int | None = None,
    end_minute: int | None = None,
    adults: int | Sequence[Adult | str] | None = None,
    floor: Floor | None = None,
    groups: Sequence[Group] | None = None,
    leave_out: Collection[str] = (),
    seconds: float = 5,
    seed: int = 0,
) -> RunSheet:
    """Plan the rest of a clinic anew and keep what has been done.

    ``done_minutes``: up to which minute of the sheet things were done; 0 for nothing. ``now_minute``: the minute at
    which the rest can begin when that is later, as after a late start. ``end_minute``: when the clinic ends, if not
    as planned. Minutes count from the planned start. A slot counts as done when it is over, or when it is running and
    every activity in it has had its least minutes; else it is planned again. What has changed on the day (adults,
    floor, groups, stations to leave out) holds for the rest. Raises ValueError for minutes out of
    order, and Refused where no children are left.
    """
    old = sheet.request
    begin = done_minutes if now_minute is None else now_minute
    end = old.start + old.minutes if end_minute is None else end_minute
    if not 0 <= done_minutes <= begin < end:
        raise ValueError(f"The rest can't go from minute {begin} to {end} with {done_minutes} minutes done.")
    by_code = {one.code: one for one in old.activities}
    kept: list[Slot] = []
    for slot in sheet.slots:
        codes = {code for code in slot.stations.values() if code in by_code}
        least = max((by_code[code].least_minutes for code in codes), default=0)
        if slot.end <= done_minutes:
            kept.append(slot)
        elif slot.start < done_minutes and done_minutes - slot.start >= least:
            kept.append(replace(slot, minutes=done_minutes - slot.start))
    had = {
        group.code: frozenset(slot.stations[group.code] for slot in kept if group.code in slot.stations)
        for group in groups or old.groups
    }
    over = frozenset(
        code for slot in kept for code in slot.stations.values() if code in by_code and by_code[code].kind != "water"
    )
    drank = max((slot.end for slot in kept if slot.kind == "water"), default=0)
    request = replace(
        old,
        groups=tuple(groups) if groups is not None else old.groups,
        activities=tuple(one for one in old.activities if one.code not in leave_out),
        minutes=end - begin,
        floor=floor or old.floor,
        adults=old.adults if adults is None else adults_of(adults),
        done=had,
        over=frozenset(code for code in over if by_code[code].whole_space),
        since_water=begin - drank if kept else 0,
        start=begin,
    )
    if not request.groups:
        raise Refused.because("none left")
    return plan_of(request, seconds, seed, tuple(kept))
