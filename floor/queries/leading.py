"""Who runs a clinic's floor: its leads, and who stands in for them, named by the office."""

from datetime import datetime, time, timedelta

from clinics.models import BE_THERE_BEFORE, Clinic
from core.rules.local_time import first_moment_at
from families.rules.door import Leading
from floor.models import FloorAction, FloorDay, FloorStandIn
from floor.queries.floor_hours import wipe_at
from people.models import Volunteer
from people.queries.standing import open_book
from shifts.models import Assignment
from shifts.queries.link_pages import LEAD

__all__ = ["cleared_to_lead", "leading", "runs_floor", "stand_ins_of"]


def stand_ins_of(clinic: Clinic) -> list[FloorStandIn]:
    """Who stands in for the lead now, the first named first. One query."""
    rows = FloorStandIn.objects.filter(clinic=clinic, ended_at__isnull=True)
    return list(rows.select_related("volunteer", "named_by"))


def cleared_to_lead(volunteer: Volunteer, clinic: Clinic) -> bool:
    """Whether the volunteer is with us and cleared to lead on the clinic's day. A few queries."""
    standing = open_book([volunteer.pk]).on(volunteer.pk, LEAD, clinic.day, clinic.center.place)
    return volunteer.left_on is None and volunteer.adult and standing.ok


def runs_floor(clinic: Clinic, volunteer: Volunteer) -> bool:
    """Whether the volunteer leads this clinic or stands in for its lead, also when it was called off on the floor."""
    return any(row.volunteer_id == volunteer.pk for row in _leads(clinic)) or _stands_in(clinic, volunteer.pk)


def leading(clinic: Clinic, email: str) -> Leading:
    """Answers ``families.hooks.leading``: an account is matched by its address, as volunteers are unique by theirs."""
    leads = _leads(clinic)
    stand_ins = stand_ins_of(clinic)
    mine = any(_same(row.volunteer, email) for row in leads)
    for row in stand_ins:
        mine = mine or (_same(row.volunteer, email) and _stands_in(clinic, row.volunteer_id))
    closed_at = FloorDay.objects.filter(clinic=clinic).values_list("closed_at", flat=True).first()
    return Leading(
        leads=mine,
        opens_at=_day_before(clinic),
        closes_at=min(closed_at or wipe_at(clinic), wipe_at(clinic)),
        who=tuple(dict.fromkeys([*(row.volunteer.name for row in leads), *(row.volunteer.name for row in stand_ins)])),
    )


def _day_before(clinic: Clinic) -> datetime:
    """The first moment of the day before, at the center."""
    return first_moment_at(clinic.day - timedelta(days=1), time(0, 0), clinic.center.tz)


def _same(volunteer: Volunteer, email: str) -> bool:
    return bool(email) and volunteer.left_on is None and volunteer.email.casefold() == email.casefold()


def _leads(clinic: Clinic) -> list[Assignment]:
    """Who has accepted to lead. A clinic called off on the floor itself leaves children in the hall.

    They must still be signed out to the right people, so its lead goes on; called off before anybody was there, it has
    no lead any more.
    """
    rows = Assignment.objects.accepted() if clinic.live else Assignment.objects.on_floor()
    found = rows.filter(shift__clinic=clinic, shift__duty__code=LEAD).select_related("volunteer")
    leads = list(found.order_by("shift__position", "pk"))
    if clinic.live or not leads or _kept(clinic):
        return leads
    late = clinic.starts_at - BE_THERE_BEFORE
    return [row for row in leads if row.released_at is not None and row.released_at >= late]


def _stands_in(clinic: Clinic, volunteer: int) -> bool:
    rows = FloorStandIn.objects.filter(clinic=clinic, volunteer=volunteer, ended_at__isnull=True)
    found = rows.select_related("volunteer").first()
    return found is not None and (clinic.live or _kept(clinic)) and cleared_to_lead(found.volunteer, clinic)


def _kept(clinic: Clinic) -> bool:
    return FloorAction.objects.filter(clinic=clinic).exists()
