"""The run sheet: groups by slots by stations, the best plan with its proof. OR-tools is loaded only when planning."""

from clinics.rules.rotation.facts import (
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
from clinics.rules.rotation.intake import request_for
from clinics.rules.rotation.plan import cyclic_sheet, plan_run_sheet
from clinics.rules.rotation.reasons import with_change
from clinics.rules.rotation.rest import replan

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
