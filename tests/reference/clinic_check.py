"""A second reading of what a run sheet promises, written from the words and not from the planner."""

from collections import Counter, defaultdict
from itertools import pairwise
from math import ceil

import pytest

from runsheets.rules.rotation import WAITING


def check(sheet, groups, activities, minutes, floor, adults, per_adult, *, changeover=1, water_every=25, optional=()):
    """Every hard rule of a planned sheet. ``adults``: names to skills (None: all)."""
    kind_of = {one.code: one.kind for one in activities}
    by_code = {one.code: one for one in activities}
    size = {group.code: group.children for group in groups}
    ratio = {group.code: per_adult(group.youngest) for group in groups}
    slots = sheet.slots
    assert sheet.planned and slots

    # Time: whistles in order with time to change over, nothing after the end, water often enough.
    assert slots[0].start == 0
    for before, after in pairwise(slots):
        assert after.start == before.start + before.minutes + changeover
    end = slots[-1].start + slots[-1].minutes
    assert end + sheet.spare_minutes == minutes
    drank = 0
    for slot in slots:
        if slot.kind == "water":
            assert slot.start - drank <= water_every
            drank = slot.start + slot.minutes
    assert end - drank <= water_every

    # Order: opener first and once, closer last and once, games after the stations; everybody together in these.
    kinds = [slot.kind for slot in slots]
    assert kinds[0] == "opener" and kinds.count("opener") == 1
    assert kinds[-1] == "closer" and kinds.count("closer") == 1
    playing = [kind for kind in kinds if kind in ("rotation", "game")]
    assert playing == sorted(playing, key=["rotation", "game"].index)
    assert kinds.count("game") == sum(kind == "game" for kind in kind_of.values())

    visits: dict[str, Counter[str]] = defaultdict(Counter)
    for slot in slots:
        assert set(slot.stations) == set(size)
        at = defaultdict(list)
        for group, code in slot.stations.items():
            at[code].append(group)
        names = [name for some in slot.adults.values() for name in some] + list(slot.spare)
        assert sorted(names) == sorted(adults), "every adult once"
        assert len(names) >= 2
        assert set(slot.adults) == set(at)
        for code, here in at.items():
            children = sum(size[group] for group in here)
            present = slot.adults[code]
            if slot.kind == "rotation":
                assert len(present) >= ceil(children / min(ratio[group] for group in here))
                visits_of = by_code.get(code)
                if code == WAITING:
                    continue
                assert visits_of is not None and visits_of.kind in ("station", "stem")
                assert children <= visits_of.group_size
                assert len(present) >= visits_of.adults
                if visits_of.skill:
                    assert any(adults[n] is None or visits_of.skill in adults[n] for n in present)
                for group in here:
                    visits[group][code] += 1
            else:
                assert len(at) == 1 and kind_of[code] == slot.kind
            assert by_code[code].least_minutes <= slot.minutes <= by_code[code].most_minutes
        used = [by_code[code] for code in at if code != WAITING]
        if slot.kind == "rotation":
            assert sum(one.hoops for one in used) <= floor.hoops
            balls = sum(one.balls * one.turns_at_once for one in used if one.hoops)
            for one in used:
                if not one.hoops:
                    balls += one.balls * ceil(sum(size[g] for g in at[one.code]) / one.players)
            balls += sum(by_code[c].balls_each * sum(size[g] for g in here) for c, here in at.items() if c != WAITING)
            assert balls <= floor.balls
            assert floor.tables is None or sum(one.tables for one in used) <= floor.tables
        elif used[0].hoops:
            assert sum(size.values()) <= used[0].group_size * (floor.hoops // used[0].hoops)
    for group in groups:
        for one in activities:
            if one.kind not in ("station", "stem"):
                continue
            fits = one.youngest <= group.youngest and group.oldest <= one.oldest and one.level != "advanced"
            times = visits[group.code][one.code]
            if not fits:
                assert times == 0
            elif one.code in optional:
                assert times <= 1
            else:
                assert times == 1
    assert all(any(kind_of[code] == "stem" for code in visits[group.code]) for group in groups)

    # Minutes: active as the formula says, and each group's minutes add up to the clinic's.
    moved = 0.0
    for group in groups:
        active = 0.0
        for slot in slots:
            code = slot.stations[group.code]
            if code == WAITING or kind_of[code] in ("stem", "water", "closer"):
                continue
            one = by_code[code]
            together = sum(size[other] for other, there in slot.stations.items() if there == code)
            turns = slot.minutes * 60 // one.cycle_seconds
            side_by_side = together
            if one.hoops:
                side_by_side = one.turns_at_once
                if slot.kind != "rotation":
                    side_by_side *= floor.hoops // one.hoops
            if slot.kind != "rotation" and one.balls:
                side_by_side = min(side_by_side, floor.balls // one.balls)
            share = min(1, side_by_side * one.players / together)
            active += int(turns * one.cycle_seconds * share + 1e-9)
        time = sheet.times[group.code]
        assert time.active == pytest.approx(active / 60)
        assert time.active + time.waiting + time.other == pytest.approx(minutes)
        assert time.waiting >= -1e-9
        moved += group.children * active
    assert sheet.objective("not active").value == round(60 * minutes * sum(size.values()) - moved)
    for one in sheet.objectives:
        assert 0 <= one.bound <= one.value
