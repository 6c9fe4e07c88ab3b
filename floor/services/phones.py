"""A phone on which the lead opens the floor page."""

import hashlib
import secrets
from datetime import datetime

from django.conf import settings
from django.db import IntegrityError, transaction
from django.utils.translation import gettext

from clinics.models import Clinic
from core import links
from core.formats import clock_time, long_day
from core.refusal import Reason, Refusal
from families.models import CareReading, Child
from floor.models import FloorPhone
from floor.queries.floor_hours import OPEN_BEFORE, wipe_at
from floor.queries.follow_ups import count_not_to_play
from floor.queries.leading import runs_floor
from floor.queries.phones import open_by_link
from floor.words import whose_phone
from people.models import User, Volunteer
from shifts.hooks import FloorPage
from shifts.models import Assignment, Reply
from shifts.queries.link_pages import LEAD

__all__ = [
    "floor_address",
    "floor_page",
    "leave_phone",
    "log_readings",
    "open_phone",
    "phone_of",
    "refuse_unless_open",
    "release_phone",
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
def open_phone(
    *, clinic: Clinic, volunteer: Volunteer, came_from: str, now: datetime, link: str = "", has: str = ""
) -> tuple[FloorPhone, str]:
    """Let this phone write for the clinic; returns its row and the secret for its cookie, which is not kept.

    ``link`` names the emailed link that opens it, "" when an account does: a link is open on one phone at a time, so
    that a mail passed on hands nobody the children's allergies. ``has``: the secret that this phone holds already, when
    the same phone opens the page once more; its row ends, and it keeps its name.

    Raises Refusal: "not the lead", "too early", "over", "cancelled", "open already".
    """
    Clinic.objects.locked(clinic.pk)
    runs = runs_floor(clinic, volunteer)
    if clinic.live and not runs:
        raise Refusal.because("not the lead", gettext("Only this clinic’s lead can open the floor page."))
    # A phone whose battery gives out in a hall that is being cleared is followed by another.
    refuse_unless_open(clinic, now, begun=not clinic.live and runs)
    before = FloorPhone.objects.filter(clinic=clinic, secret=_hash(has), ended_at__isnull=True).first() if has else None
    if before is not None:
        before.ended_at = now
        before.save(update_fields=["ended_at"])
        if before.volunteer_id == volunteer.pk:
            link = link or before.link
    if taken := open_by_link(link):
        raise Refusal(_open_already(taken, now))
    called, number = _name(clinic, volunteer, before)
    secret = secrets.token_urlsafe(32)
    phone = FloorPhone(
        clinic=clinic,
        volunteer=volunteer,
        opened_by=volunteer.name,
        called=called,
        number=number,
        link=link,
        secret=_hash(secret),
        came_from=came_from,
        opened_at=now,
        heard_at=now,
    )
    try:
        with transaction.atomic():
            phone.save()
    except IntegrityError as problem:
        # Someone was faster between our look and our write.
        taken = open_by_link(link)
        if taken is None:
            raise
        raise Refusal(_open_already(taken, now)) from problem
    return phone, secret


def _open_already(taken: FloorPhone, now: datetime) -> Reason:
    tz = taken.clinic.center.tz
    since = clock_time(taken.opened_at, tz)
    if taken.opened_at.astimezone(tz).date() != now.astimezone(tz).date():
        since = gettext("%(day)s, %(time)s") % {"day": long_day(taken.opened_at.astimezone(tz).date()), "time": since}
    facts = {"phone_of": whose_phone(taken), "since": since, "phone": settings.ORGANISATION_PHONE}
    words = gettext(
        "This link is already open on %(phone_of)s, since %(since)s. Use that phone. Or erase it there, under "
        "Close the day, and open the link again here."
    )
    ask = (
        gettext("Or ask our office to release it: %(phone)s.")
        if facts["phone"]
        else gettext("Or ask our office to release it.")
    )
    return Reason("open already", f"{words % facts} {ask % facts}")


def _name(clinic: Clinic, volunteer: Volunteer, before: FloorPhone | None) -> tuple[str, int]:
    """What a phone is called, and its number: the person's first name, or the whole one beside another of that name.

    The clinic is locked, so that two phones don't take one number.
    """
    if before is not None and before.volunteer_id == volunteer.pk and before.called:
        return before.called, before.number
    rows = list(
        FloorPhone.objects.filter(clinic=clinic).exclude(called="").values_list("volunteer", "called", "number")
    )
    mine = next((called for pk, called, _ in rows if pk == volunteer.pk), "")
    others = {called for pk, called, _ in rows if pk != volunteer.pk}
    called = mine or (volunteer.name if volunteer.given_name in others else volunteer.given_name)
    return called, 1 + max((number for pk, name, number in rows if name == called or pk == volunteer.pk), default=0)


def phone_of(clinic_id: int, secret: str, now: datetime) -> FloorPhone | None:
    """The phone that holds this secret and may still write; None when its time is over or it no longer leads."""
    if not secret or len(secret) > 100:
        return None
    rows = FloorPhone.objects.select_related("clinic__center", "volunteer")
    phone = rows.filter(clinic=clinic_id, secret=_hash(secret), ended_at__isnull=True).first()
    if phone is None or phone.volunteer is None or now >= wipe_at(phone.clinic):
        return None
    # Whoever was taken off the shift no longer sees the children.
    return phone if runs_floor(phone.clinic, phone.volunteer) else None


@transaction.atomic
def release_phone(*, phone: FloorPhone, by: User, now: datetime) -> bool:
    """End a phone from the office, so that its link opens on another; returns whether it was open until now.

    It keeps nothing of the clinic once it has signal; what it had not sent by then is lost.
    """
    row = FloorPhone.objects.select_for_update(no_key=True).get(pk=phone.pk)
    if row.ended_at is not None:
        return False
    row.ended_at, row.released_by = now, by.name[:120]
    row.save(update_fields=["ended_at", "released_by"])
    return True


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
