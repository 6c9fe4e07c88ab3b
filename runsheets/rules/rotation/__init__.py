"""The run sheet: groups by slots by stations, the best plan with its proof. OR-tools is loaded only when planning."""

from runsheets.rules.rotation.facts import (
    GOAL_ACTIVE,
    WAITING,
    Adult,
    Change,
    Floor,
    Group,
    GroupTime,
    Objective,
    Request,
    RunSheet,
    Slot,
)
from runsheets.rules.rotation.intake import request_for
from runsheets.rules.rotation.plan import cyclic_sheet, plan_run_sheet
from runsheets.rules.rotation.reasons import with_change
from runsheets.rules.rotation.rest import replan

__all__ = [
    "GOAL_ACTIVE",
    "WAITING",
    "Adult",
    "Change",
    "Floor",
    "Group",
    "GroupTime",
    "Objective",
    "Request",
    "RunSheet",
    "Slot",
    "cyclic_sheet",
    "plan_run_sheet",
    "replan",
    "request_for",
    "with_change",
]
