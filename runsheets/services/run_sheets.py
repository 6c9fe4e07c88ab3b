"""The run sheet: asked for with its facts, searched in a worker, and planned again on the day."""

from collections.abc import Collection, Sequence
from dataclasses import asdict, dataclass, field, replace
from datetime import datetime, timedelta
from functools import partial
from typing import Any

from django.db import transaction
from django.utils.translation import gettext

from clinics.models import Clinic
from clinics.rules.supervision import RATIO_TABLES
from core.enqueue import enqueue
from core.formats import counted
from core.refusal import Refusal
from core.rules.refused import Refused
from people.models import User
from runsheets.models import Activity, RunSheetPlan
from runsheets.queries.run_sheet_facts import facts_now, sheet_children
from runsheets.rules.rotation import Adult, Floor, RunSheet, replan
from runsheets.rules.rotation.plan import plan_of
from runsheets.rules.sheet_facts import request_of, sheet_data, sheet_of
from runsheets.rules.sheet_groups import SheetGroup
from runsheets.words.reasons import problem_words

__all__ = [
    "SheetChoice",
    "ask_rest",
    "ask_run_sheet",
    "find_run_sheet",
    "find_waiting_run_sheets",
    "purge_run_sheets",
]

SECONDS = 5.0
# A year on nobody asks who stood where, and the names of adults who have left must not live on here.
KEPT_DAYS = 365
State = RunSheetPlan.State


@dataclass(frozen=True)
class SheetChoice:
    """What the coordinator chose. ``optional``: stations that only fill a slot left over."""

    activities: Sequence[str]
    groups: Sequence[SheetGroup]
    optional: Collection[str] = ()
    advanced_apart: bool = False
    siblings: bool = True
    together: Sequence[tuple[int, int]] = field(default_factory=list)
    changeover: int = 1
    water_every: int = 25


@transaction.atomic
def ask_run_sheet(*, clinic: Clinic, choice: SheetChoice, by: User, now: datetime) -> RunSheetPlan:
    """Ask for a run sheet: 1 look at the clinic, 2 gather its facts, 3 write the row, 4 wake the worker.

    Raises Refusal for an impossible clinic, where no search is needed to know.
    """
    row = Clinic.objects.locked(clinic.pk)
    _open(row, now)
    _same_children(row, choice.groups)
    groups = [asdict(group) for group in choice.groups]
    facts = facts_now(row, sum(group.count for group in choice.groups))
    if not facts["space"]:
        raise Refusal.because(
            "no floor", gettext("No space is reserved for this clinic. Choose a space, then make the run sheet.")
        )
    chosen = {one.code: one for one in Activity.objects.filter(code__in=choice.activities)}
    rules = [chosen[code].as_rule() for code in choice.activities if code in chosen]
    facts |= {
        "activities": [asdict(one) for one in rules],
        "optional": sorted(set(choice.optional) & set(chosen)),
        "advanced_apart": choice.advanced_apart,
        "siblings": choice.siblings,
        "together": [list(pair) for pair in choice.together],
        "changeover": choice.changeover,
        "water_every": choice.water_every,
        # A clinic without a STEM activity asks for none; with one, every group does it.
        "stem": bool(row.theme) or any(one.kind == "stem" for one in rules),
        "missing": [],
        "hoops_out": 0,
    }
    try:
        request_of(facts, groups, row.ratio_tables)
    except ValueError as problem:
        raise Refusal.because("no plan", problem_words(problem)) from problem
    return _waiting(RunSheetPlan(clinic=row, groups=groups, facts=facts), by, now)


@transaction.atomic
def ask_rest(
    *,
    plan: RunSheetPlan,
    done: int,
    late: int,
    missing: Collection[int],
    hoops_out: int,
    by: User,
    now: datetime,
) -> RunSheetPlan:
    """Ask on the day for the rest of a sheet, as a new row that keeps what was done up to minute ``done``.

    ``late``: minutes lost after that. ``missing``: numbers of adults who are not there. ``hoops_out``: hoops that
    can't be used. The clinic's hours and who comes and counts are those of now, not of when the sheet was made.
    """
    row = (
        RunSheetPlan.objects.select_for_update(no_key=True, of=("self",))
        .select_related("clinic__center")
        .get(pk=plan.pk)
    )
    _open(row.clinic, now)
    if row.state != State.READY:
        raise Refusal.because("not ready", gettext("There’s no run sheet to replan. Make one first."))
    facts = dict(row.facts)
    now_facts = facts_now(row.clinic, sum(one["count"] for one in row.groups))
    facts |= {name: now_facts[name] for name in ("minutes", "starts_at", "ends_at")}
    if not (done or late or missing or hoops_out):
        raise Refusal.because(
            "nothing", gettext("Enter what changed: minutes late, missing adults, or hoops out of use.")
        )
    if done + late >= facts["minutes"]:
        raise Refusal.because(
            "too late",
            gettext("The clinic is only %(minutes)s long. Enter fewer minutes.")
            % {"minutes": counted(facts["minutes"], "minute")},
            "late",
        )
    if hoops_out > facts["floor"]["hoops"]:
        words = gettext("The space has %(hoops)s. Enter a smaller number.")
        raise Refusal.because("hoops", words % {"hoops": counted(facts["floor"]["hoops"], "hoop")}, "hoops_out")
    # Someone may have said no since, or stepped in for them; who was missing before has not come meanwhile.
    coming = {one["who"] for one in now_facts["adults"]}
    gone = [one for one in facts["adults"] if one["who"] in missing or one["who"] not in coming]
    out = {*missing, *facts["missing"]}
    facts["adults"] = [one for one in now_facts["adults"] if one["who"] not in out]
    facts["floor"] = facts["floor"] | {"hoops": facts["floor"]["hoops"] - hoops_out}
    facts["missing"] = sorted(out)
    facts["hoops_out"] += hoops_out
    rest = {
        "done": done,
        "begin": done + late,
        "late": late,
        "missing": [one["name"] for one in gone],
        "hoops_out": hoops_out,
    }
    return _waiting(RunSheetPlan(clinic=row.clinic, groups=row.groups, facts=facts, rest_of=row, rest=rest), by, now)


def find_waiting_run_sheets() -> int:
    """Search the sheets that no worker has taken up; returns how many. Twice writes the same answer."""
    ids = list(RunSheetPlan.objects.filter(state=State.WAITING).order_by("pk").values_list("pk", flat=True)[:5])
    return sum(find_run_sheet(pk=pk) for pk in ids)


def find_run_sheet(*, pk: int, seconds: float = SECONDS) -> bool:
    """Search one run sheet: 1 read the row, 2 find the best plan, 3 write it. False when it is done already."""
    row = RunSheetPlan.objects.filter(pk=pk, state=State.WAITING).select_related("rest_of").first()
    if row is None:
        return False
    try:
        sheet = _search(row, seconds)
    except Refused as problem:
        # A code and its facts; runsheets/words says it.
        _write(pk, state=State.FAILED, trouble=problem.reasons[0].code, result={"trouble": problem.reasons[0].facts})
        return True
    except ValueError as problem:
        _write(pk, state=State.FAILED, trouble=str(problem)[:400])
        return True
    data = sheet_data(sheet)
    if sheet.status == "infeasible":
        _write(pk, state=State.CANNOT, result=data)
    elif sheet.planned:
        _write(pk, state=State.READY, result=data)
    else:
        _write(pk, state=State.FAILED, trouble="no time")
    return True


@transaction.atomic
def purge_run_sheets(*, now: datetime) -> int:
    """Delete sheets of clinics that ended KEPT_DAYS ago; returns how many. Twice is harmless."""
    count, _ = RunSheetPlan.objects.filter(clinic__ends_at__lt=now - timedelta(days=KEPT_DAYS)).delete()
    return count


def _search(row: RunSheetPlan, seconds: float) -> RunSheet:
    tables = [RATIO_TABLES[code] for code in row.facts["tables"] if code in RATIO_TABLES]
    if row.rest_of is None:
        if row.rest:
            raise Refused.because("sheet gone")
        return plan_of(request_of(row.facts, row.groups, tables), seconds, 0)
    before = row.rest_of
    request = request_of(before.facts, before.groups, tables)
    begin = before.rest.get("begin", 0)
    # What was planned again before runs from its own beginning to the same end.
    request = replace(request, start=begin, minutes=before.facts["minutes"] - begin)
    return replan(
        sheet_of(request, before.result),
        row.rest["done"],
        now_minute=row.rest["begin"],
        end_minute=row.facts["minutes"],
        adults=[Adult(one["name"], frozenset(one["skills"])) for one in row.facts["adults"]],
        floor=Floor(**row.facts["floor"]),
        seconds=seconds,
    )


def _write(pk: int, **facts: Any) -> None:
    RunSheetPlan.objects.filter(pk=pk, state=State.WAITING).update(**facts)


def _waiting(row: RunSheetPlan, by: User, now: datetime) -> RunSheetPlan:
    row.state, row.asked_by, row.asked_at = State.WAITING, by, now
    row.save()
    transaction.on_commit(partial(enqueue, "runsheets.find_sheet", row.pk), robust=True)
    return row


def _open(clinic: Clinic, now: datetime) -> None:
    if not clinic.live:
        raise Refusal.because("cancelled", gettext("This clinic is cancelled, so there is nothing to plan."))
    if clinic.ends_at <= now:
        raise Refusal.because("over", gettext("This clinic is over, so there is nothing left to plan."))


def _same_children(clinic: Clinic, groups: Sequence[SheetGroup]) -> None:
    """Groups hold each child who has a spot once; before anyone has registered, expected children only."""
    if not groups:
        raise Refusal.because(
            "no children", gettext("There are no children yet. Enter how many you expect, or wait for sign-ups.")
        )
    there = {child.pk for child in sheet_children(clinic)}
    chosen = [pk for group in groups for pk in group.children]
    if len(chosen) != len(set(chosen)) or set(chosen) != there:
        raise Refusal.because(
            "spots changed",
            gettext("A child’s registration changed after you opened this page. Check the groups again."),
        )
