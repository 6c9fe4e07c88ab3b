"""A phone on which the lead opens the floor page."""

import hashlib
import secrets
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext

from clinics.models import BE_THERE_BEFORE, Clinic
from core import links
from core.formats import long_day
from core.refusal import Refusal
from families.models import CareReading, Child
from floor.models import FloorAction, FloorPhone
from floor.queries.floor_hours import OPEN_BEFORE, wipe_at
from floor.queries.follow_ups import count_not_to_play
from people.models import Volunteer
from shifts.hooks import FloorPage
from shifts.models import Assignment, Reply
from shifts.queries.link_pages import LEAD

__all__ = [
    "floor_address",
    "floor_page",
    "leads",
    "leave_phone",
    "log_readings",
    "open_phone",
    "phone_of",
    "refuse_unless_open",
]


def floor_address(row: Assignment) -> str:
    """The link that opens the floor page, given the lead's own assignment; "" for any other."""
    if row.shift.duty_id != LEAD or not row.live or row.reply != Reply.ACCEPTED:
        return ""
    clinic = row.shift.clinic
    token = links.make("floor", subject=row.pk, counter=row.link_counter, expires_at=wipe_at(clinic))
    return links.address("floor-open", token)


def floor_page(row: Assignment) -> FloorPage | None:
    """The link that opens the floor page, with the hours in which it does. Answers ``shifts.hooks.floor_page``."""
    clinic, address = row.shift.clinic, floor_address(row)
    if not address:
        return None
    return FloorPage(address, clinic.starts_at - OPEN_BEFORE, wipe_at(clinic), count_not_to_play(clinic))


def leads(clinic: Clinic, volunteer: Volunteer) -> bool:
    """Whether the volunteer has accepted to lead this clinic."""
    return (
        Assignment.objects.accepted().filter(shift__clinic=clinic, shift__duty__code=LEAD, volunteer=volunteer).exists()
    )


def refuse_unless_open(clinic: Clinic, now: datetime, *, begun: bool = False) -> None:
    """Raise Refusal "cancelled", "too early" or "over" when the floor page can't be opened now.

    ``begun`` says that the floor was being kept when the clinic was called off, so it is kept to its end.
    """
    if not clinic.live and not begun:
        raise Refusal.because("cancelled", gettext("This clinic is cancelled, so there’s no floor page."))
    if now < clinic.starts_at - OPEN_BEFORE:
        raise Refusal.because(
            "too early", gettext("You can open it on %(day)s, or the evening before.") % {"day": long_day(clinic.day)}
        )
    if now >= wipe_at(clinic):
        raise Refusal.because("over", gettext("This clinic is over, so its floor page is closed."))


@transaction.atomic
def open_phone(*, clinic: Clinic, volunteer: Volunteer, came_from: str, now: datetime) -> tuple[FloorPhone, str]:
    """Let this phone write for the clinic; returns its row and the secret for its cookie, which is not kept.

    Raises Refusal: "not the lead", "too early", "over", "cancelled".
    """
    if clinic.live and not leads(clinic, volunteer):
        raise Refusal.because("not the lead", gettext("Only this clinic’s lead can open the floor page."))
    # A phone whose battery gives out in a hall that is being cleared is followed by another.
    refuse_unless_open(clinic, now, begun=not clinic.live and _still_leads(clinic, volunteer))
    secret = secrets.token_urlsafe(32)
    phone = FloorPhone.objects.create(
        clinic=clinic,
        volunteer=volunteer,
        opened_by=volunteer.name,
        secret=_hash(secret),
        came_from=came_from,
        opened_at=now,
        heard_at=now,
    )
    return phone, secret


def phone_of(clinic_id: int, secret: str, now: datetime) -> FloorPhone | None:
    """The phone that holds this secret and may still write; None when its time is over or it no longer leads."""
    if not secret or len(secret) > 100:
        return None
    rows = FloorPhone.objects.select_related("clinic__center", "volunteer")
    phone = rows.filter(clinic=clinic_id, secret=_hash(secret), ended_at__isnull=True).first()
    if phone is None or phone.volunteer is None or now >= wipe_at(phone.clinic):
        return None
    # Whoever was taken off the shift no longer sees the children.
    return phone if _still_leads(phone.clinic, phone.volunteer) else None


def _still_leads(clinic: Clinic, volunteer: Volunteer) -> bool:
    """Whether the lead of an open phone goes on. A clinic called off on the floor itself leaves children in the hall.

    They must still be signed out to the right people, so its lead keeps the page; called off before anybody was
    there, it is of no use any more.
    """
    if clinic.live:
        return leads(clinic, volunteer)
    rows = Assignment.objects.on_floor().filter(shift__clinic=clinic, shift__duty__code=LEAD, volunteer=volunteer)
    off = rows.values_list("released_at", flat=True).first()
    if off is None:
        return False
    return off >= clinic.starts_at - BE_THERE_BEFORE or FloorAction.objects.filter(clinic=clinic).exists()


@transaction.atomic
def leave_phone(*, phone: FloorPhone, now: datetime, number: int | None = None) -> bool:
    """End a phone; ending it again changes nothing. Returns whether ``phone`` itself is still open.

    ``number`` says which phone left, when we hear of it only after the same person has opened ``phone``.
    """
    left = phone.pk if number is None else number
    mine = FloorPhone.objects.filter(pk=left, clinic=phone.clinic_id, volunteer=phone.volunteer_id)
    mine.filter(ended_at__isnull=True).update(ended_at=now)
    return left != phone.pk


@transaction.atomic
def log_readings(*, phone: FloorPhone, children: list[Child], now: datetime) -> int:
    """Record, once a phone, each child whose allergies or notes went to this phone; returns how many are new."""
    where = f"floor page of clinic {phone.clinic_id}, phone {phone.pk}"
    known = set(CareReading.objects.filter(where=where).values_list("child_id", flat=True))
    rows = [
        CareReading(child=child, by_name=phone.opened_by, at=now, where=where)
        for child in children
        if child.has_care and child.pk not in known
    ]
    return len(CareReading.objects.bulk_create(rows))


def _hash(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()
