"""Links at which somebody who tries the demo begins. Making or showing them changes nothing."""

from dataclasses import dataclass
from datetime import datetime
from urllib.parse import urlencode

from django.conf import settings
from django.urls import reverse

from clinics.models import Clinic, Status
from core.formats import span
from demo.hours import why_at_this_hour
from families.queries.spots import open_to_families, with_spots
from floor.queries.floor_hours import OPEN_BEFORE, wipe_at
from floor.services.phones import floor_address
from people.models import User
from shifts.letters.shifts import shift_link
from shifts.models import Assignment, Reply, Shift
from shifts.queries.candidates import candidates
from shifts.queries.horizon import broken_assignments
from shifts.queries.link_pages import lead_of

__all__ = ["ROLES", "Door", "doors", "first_act", "person_of", "why_now"]

# The word in the address, and the account that it logs in.
ROLES = {"coordinator": "coordinator@example.org", "admin": "admin@example.org", "floor": "floor@example.org"}
OPEN_SHIFTS_TRIED = 8


@dataclass(frozen=True)
class Door:
    """A link into the demo: ``who`` opens ``address`` and does ``what`` there."""

    who: str
    address: str
    what: str


def doors(now: datetime) -> list[Door]:
    """List the links worth opening first, without those that have nothing behind them just now."""
    site = settings.SITE_URL
    found = [
        Door("Coordinator", site + reverse("demo-log-in", args=["coordinator"]), "Cover an open shift."),
        Door("Admin", site + reverse("demo-log-in", args=["admin"]), "Renew a clearance that expires too soon."),
    ]
    if row := _question(now):
        found.append(
            Door("Volunteer", shift_link(row, row.shift.clinic), f"Answer the email that {row.volunteer} gets.")
        )
    found.append(Door("Families", site + _page_for_families(now), "Register a child."))
    if clinic := _todays(now):
        lead = lead_of(clinic)
        assert lead is not None
        hours = span(clinic.local_start, clinic.local_end)
        found.append(Door("Floor lead", floor_address(lead), f"Run today’s clinic on a phone, {hours}."))
    return found


def first_act(role: str, now: datetime) -> str:
    """The address of the page on which the role has something to do; of its overview when nothing is left to do."""
    if role == "coordinator":
        shift = _open_shift(now)
        return reverse("shift-who", args=[shift.pk]) if shift else reverse("home")
    if role == "admin":
        broken = broken_assignments(now)
        if not broken:
            return reverse("horizon")
        one = broken[0]
        asked = urlencode({"kind": one.standing.reasons[0].kind, "next": reverse("horizon")})
        return f"{reverse('clearance-new', args=[one.assignment.volunteer_id])}?{asked}"
    clinic = _todays(now)
    return reverse("clinic", args=[clinic.pk]) if clinic else reverse("home")


def person_of(role: str) -> User | None:
    return User.objects.filter(email=ROLES.get(role, ""), is_active=True).first()


def why_now(now: datetime) -> str:
    """Say why the clinic of today is at an odd hour; "" when it is not, or when there is none."""
    clinic = _todays(now)
    return why_at_this_hour(clinic.local_start, clinic.local_end) if clinic else ""


def _question(now: datetime) -> Assignment | None:
    rows = Assignment.objects.live().filter(reply=Reply.NEEDS_ACTION, shift__clinic__starts_at__gt=now)
    rows = rows.exclude(shift__clinic__status=Status.CANCELLED).select_related("volunteer", "shift__clinic__center")
    return rows.order_by("shift__clinic__starts_at", "pk").first()


def _page_for_families(now: datetime) -> str:
    """The soonest clinic that has a spot for every age it takes; else the list."""
    for one in with_spots(open_to_families(now)[:10]):
        if all(band.open for band in one.bands):
            return reverse("register-clinic", args=[one.clinic.pk])
    return reverse("register")


def _todays(now: datetime) -> Clinic | None:
    """The clinic whose floor page opens now and that somebody leads: the one that runs, or else the next."""
    rows = Clinic.objects.live().filter(starts_at__lte=now + OPEN_BEFORE).select_related("center")
    for clinic in rows.filter(ends_at__gt=now).order_by("starts_at", "pk"):
        if now < wipe_at(clinic) and lead_of(clinic) is not None:
            return clinic
    # Just before midnight the clinic of today is over, and its page can still be opened.
    late = [one for one in rows.filter(ends_at__lte=now).order_by("-ends_at")[:3] if now < wipe_at(one)]
    return next((one for one in late if lead_of(one) is not None), None)


def _open_shift(now: datetime) -> Shift | None:
    """The soonest shift that nobody has and that somebody could take."""
    rows = Shift.objects.filter(clinic__starts_at__gt=now, clinic__status__in=[Status.CONFIRMED, Status.TENTATIVE])
    rows = rows.exclude(pk__in=Assignment.objects.live().values("shift")).select_related("clinic__center")
    for shift in rows.order_by("clinic__starts_at", "pk")[:OPEN_SHIFTS_TRIED]:
        if any(one.can for one in candidates(shift, now.astimezone(shift.clinic.center.tz).date())):
            return shift
    return None
