"""The plan of moves: searched in a worker, shown beside today's bookings, and booked in one press."""

from collections.abc import Callable
from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext

from clinics.models import Clinic, Status
from core import clock
from core.enqueue import enqueue
from core.refusal import Refusal
from core.rules.refused import Refused
from kits.models import KIT_AFTER, KIT_BEFORE, Kit, KitBooking, KitPlan
from kits.queries.condition import kit_troubles, kits_with_state
from kits.rules import kit_moves as rule
from kits.services.holds import hold_kit
from people.models import User
from shifts.models import Assignment
from shifts.queries.availability import ROADS
from shifts.queries.facts import clinics_between
from shifts.rules.matching.pairs import trip_km

__all__ = ["ask_kit_plan", "book_kit_plan", "find_kit_plan", "find_waiting_kit_plans"]

LONGEST_DAYS = 200


@transaction.atomic
def ask_kit_plan(*, first: date, last: date, by: User, now: datetime) -> KitPlan:
    """Ask for a plan of moves from ``first`` through ``last`` by writing its row, and wake a worker.

    Raises Refusal "days" (the last is before the first) or "too long".
    """
    if last < first:
        raise Refusal.because("days", gettext("The last day is before the first. Enter a later date."), "last_day")
    if (last - first).days > LONGEST_DAYS:
        raise Refusal.because(
            "too long", gettext("Choose up to %(days)d days at once.") % {"days": LONGEST_DAYS}, "last_day"
        )
    row = KitPlan.objects.create(first_day=first, last_day=last, asked_by=by, asked_at=now)
    transaction.on_commit(lambda: enqueue("kits.find_plan", row.pk), robust=True)
    return row


def find_waiting_kit_plans() -> int:
    """Find the plans that no worker has taken up; returns how many. Twice writes the same answer."""
    ids = list(KitPlan.objects.filter(state="waiting").order_by("pk").values_list("pk", flat=True)[:5])
    return sum(find_kit_plan(pk=pk) for pk in ids)


def find_kit_plan(*, pk: int) -> bool:
    """Find the moves of one plan: 1 read clinics and kits, 2 the least driving, 3 write it. False when it is done."""
    row = KitPlan.objects.filter(pk=pk, state="waiting").first()
    if row is None:
        return False
    now = clock.now()
    clinics = {clinic.pk: clinic for clinic in clinics_between(row.first_day, row.last_day, now)}
    kits = {kit.pk: kit for kit in kits_with_state()}
    try:
        result = _find(clinics, kits, now)
    except ValueError as problem:
        # A code where the rule has one; kits/words says it.
        trouble = problem.reasons[0].code if isinstance(problem, Refused) else str(problem)
        KitPlan.objects.filter(pk=pk, state="waiting").update(state="failed", trouble=trouble[:300])
        return True
    KitPlan.objects.filter(pk=pk, state="waiting").update(state="ready", result=result)
    return True


def _find(clinics: dict[int, Clinic], kits: dict[int, Kit], now: datetime) -> dict[str, object]:
    points: dict[int | None, tuple[float, float] | None] = {
        clinic.center_id: clinic.center.point for clinic in clinics.values()
    }
    names: dict[int | None, str] = {clinic.center_id: clinic.center.name for clinic in clinics.values()}
    # Where each kit is when the plan begins: where it is now, or where a clinic before it leaves it.
    here: dict[int, int | None] = {pk: kit.now_at_id for pk, kit in kits.items()}
    busy: dict[int, datetime] = {}
    before = _booked_before(clinics, now)
    for booking in before:
        here[booking.kit_id], busy[booking.kit_id] = booking.clinic.center_id, booking.period.upper
    known = [kit.now_at for kit in kits.values() if kit.now_at is not None]
    for center in [*known, *(booking.clinic.center for booking in before)]:
        points[center.pk], names[center.pk] = center.point, center.name
    notes: list[dict[str, object]] = []
    if any(point is None for point in points.values()):
        notes.append({"code": "not on the map", "facts": {"km": ROADS.unknown_km}})

    def km(here: int | None, there: int | None) -> float:
        if here == there:
            return 0.0
        way = trip_km(points.get(here or 0), points.get(there or 0), ROADS)
        return ROADS.unknown_km if way is None else way

    days = {(clinic.day, bool(clinic.theme)) for clinic in clinics.values()}
    usable = [
        rule.Kit(pk, here[pk], busy.get(pk, now))
        for pk, kit in kits.items()
        if not any(item.held().past(day) for item in kit.items.all() for day, _ in days)
        and not any(one.blocks for day, stem in days for one in kit_troubles(kit, day, stem))
    ]
    left_out = [kits[pk].name for pk in kits if pk not in {kit.id for kit in usable}]
    if left_out:
        notes.append({"code": "left out", "facts": {"kits": left_out}})
    demands = [
        rule.Demand(pk, clinic.center_id, clinic.starts_at - KIT_BEFORE, clinic.ends_at + KIT_AFTER)
        for pk, clinic in clinics.items()
    ]
    plan = rule.plan_moves(demands, usable, km, packing_minutes=0, km_per_hour=ROADS.km_per_hour)
    carriers = _carriers(clinics)
    return {
        "km": round(plan.total_km, 1),
        "today_km": round(_today_km(clinics, here, km), 1),
        "served": {str(clinic): kit for clinic, kit in plan.served.items()},
        "unserved": plan.unserved,
        "enough": plan.kits_enough,
        "kits": len(usable),
        "notes": notes,
        "trips": [
            {
                "kit": kits[trip.kit].name,
                # Where no center is known, whoever has it.
                "from": names.get(trip.from_place, ""),
                "holder": kits[trip.kit].with_whom,
                "to": names[trip.to_place],
                "km": round(trip.km, 1),
                "clinic": trip.to,
                "who": carriers.get((trip.from_place, trip.to), carriers.get((None, trip.to), "")),
            }
            for trip in plan.trips
        ],
    }


def _booked_before(clinics: dict[int, Clinic], now: datetime) -> list[KitBooking]:
    """Bookings not yet over for clinics before the first of the plan, in their order."""
    begins = min((clinic.starts_at for clinic in clinics.values()), default=now)
    rows = KitBooking.objects.exclude(status=Status.CANCELLED).filter(period__endswith__gt=now)
    rows = rows.filter(clinic__starts_at__lt=begins).exclude(clinic__in=clinics)
    return list(rows.select_related("clinic__center").order_by("period"))


def _today_km(
    clinics: dict[int, Clinic], begins: dict[int, int | None], km: Callable[[int | None, int | None], float]
) -> float:
    """What the bookings as they stand would drive, kit by kit in their order. ``begins``: kit to where it is before."""
    here = dict(begins)
    total = 0.0
    rows = KitBooking.objects.exclude(status=Status.CANCELLED).filter(clinic__in=clinics).order_by("period")
    for kit_id, clinic_id in rows.values_list("kit_id", "clinic_id"):
        there = clinics[clinic_id].center_id
        total += km(here[kit_id], there)
        here[kit_id] = there
    return total


def _carriers(clinics: dict[int, Clinic]) -> dict[tuple[int | None, int | None], str]:
    """By (center it comes from or None, clinic): a volunteer who goes there anyway, best one who was at that center."""
    rows = Assignment.objects.accepted().filter(shift__clinic__in=clinics).select_related("volunteer", "shift")
    there: dict[int, list[tuple[int, str]]] = {}
    been: dict[int, set[int]] = {}
    for row in rows.order_by("shift__clinic__starts_at"):
        there.setdefault(row.shift.clinic_id, []).append((row.volunteer_id, row.volunteer.name))
        been.setdefault(row.volunteer_id, set()).add(clinics[row.shift.clinic_id].center_id)
    found: dict[tuple[int | None, int | None], str] = {}
    for clinic_id, people in there.items():
        found[None, clinic_id] = people[0][1]
        for volunteer_id, name in people:
            for center_id in been[volunteer_id] - {clinics[clinic_id].center_id}:
                found.setdefault((center_id, clinic_id), name)
    return found


@transaction.atomic
def book_kit_plan(*, plan: KitPlan, now: datetime) -> int:
    """Book each clinic's kit as the plan says, all or none; returns how many clinics changed. Twice is harmless.

    Raises Refusal when the world has gone on and a kit is taken or out of date.
    """
    row = KitPlan.objects.select_for_update(no_key=True).get(pk=plan.pk)
    if row.state != "ready":
        raise Refusal.because("not ready", gettext("This plan isn’t ready yet. Reload the page in a moment."))
    wanted = {int(pk): kit for pk, kit in row.result["served"].items()}
    without = row.result.get("unserved", [])
    clinics = Clinic.objects.live().filter(starts_at__gt=now).locked_in([*wanted, *without])
    coming = {clinic.pk: clinic for clinic in clinics}
    held = KitBooking.objects.exclude(status=Status.CANCELLED).filter(clinic__in=coming)
    before = dict(held.values_list("clinic_id", "kit_id"))
    changing = [pk for pk in coming if pk in wanted and before.get(pk) != wanted[pk]]
    # A clinic that the plan leaves without a kit gives up one that the plan sends elsewhere; another it may keep.
    giving_up = [pk for pk in without if before.get(pk) in wanted.values()]
    # All are given back first: what one clinic gives up another may take in the same plan.
    held.filter(clinic__in=[*changing, *giving_up]).update(status=Status.CANCELLED)
    # Locked in one order, so that two plans can't hold each other up.
    chosen = Kit.objects.select_for_update(no_key=True).filter(pk__in=wanted.values()).order_by("pk")
    kits = {kit.pk: kit for kit in chosen}
    for pk in changing:
        if wanted[pk] not in kits:
            raise Refusal.because("kit gone", gettext("A kit in this plan is no longer on file. Make a new plan."))
        hold_kit(coming[pk], kits[wanted[pk]])
    row.booked_at = now
    row.save(update_fields=["booked_at"])
    return len(changing) + len(giving_up)
