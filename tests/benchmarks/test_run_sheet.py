"""A run sheet of 6 groups, 6 stations and 8 slots: seconds to the best, against each group just moving on one."""

import time

import pytest

from clinics.rules.activities import Activity
from clinics.rules.rotation import Floor, Group, cyclic_sheet, plan_run_sheet, request_for
from tests.benchmarks.conftest import report

OPENER = Activity("open", "Opener", "opener", 5, 10, 200)


def clinic(hoops):
    shooting = [
        Activity(f"hoop{k}", f"Hoop {k}", "station", 8, 12, 16, hoops=1, balls=1, players=2, turns_at_once=2)
        for k in range(4)
    ]
    others = [Activity("feet", "Feet", "station", 8, 12, 16), Activity("making", "Making", "stem", 8, 12, 8)]
    groups = [Group(f"G{k}", 8 - k % 2, 9, 10) for k in range(6)]
    return groups, [OPENER, *shooting, *others], 120, Floor(hoops, 60), 8


# Four hoops: opener, six slots of the stations, closer. Three: a group must wait or two must share, so which is best
# is not seen from the plain plan.
@pytest.mark.parametrize(("name", "hoops"), [("run_sheet_6x6x8", 4), ("run_sheet_6x6x8_scarce", 3)])
def test_six_groups_six_stations_eight_slots(name, hoops):
    facts = clinic(hoops)
    plan_run_sheet(*facts, seconds=5)  # the search's library is loaded once
    began = time.perf_counter()
    sheet = plan_run_sheet(*facts, seconds=5)
    took = time.perf_counter() - began
    began = time.perf_counter()
    plain = cyclic_sheet(request_for(*facts))
    simple = time.perf_counter() - began

    assert plain is not None
    assert sheet.planned
    report(f"{name}_seconds", took, "s", took / simple, "each group moves on one station")
    report(f"{name}_active", 100 * sheet.share_all, "% of all minutes", sheet.share_all / plain.share_all, "the same")
    print(sheet.status, sheet.objectives, len(sheet.slots), "slots")
