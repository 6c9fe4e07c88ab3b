"""Who isn't cleared any more, or leaves: their coming shifts are released, and for some the next best is asked."""

from collections.abc import Iterable
from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext

from clinics.models import Clinic, Status
from core.formats import full_date
from outbox.services.writing import drop_waiting
from people.models import Clearance, ClearanceState, Volunteer
from people.queries.standing import StandingBook, open_book
from people.rules.standing import Standing
from shifts.letters.clearances import CLEARANCE_NOTICE
from shifts.models import Assignment, AssignmentQuerySet
from shifts.services.cover import offer_next
from shifts.services.holding import hold
from shifts.services.moving import release

__all__ = ["free_former", "hold_clinics", "leave", "release_all_ineligible", "release_ineligible"]


@transaction.atomic
def leave(*, volunteer: Volunteer, today: date, now: datetime) -> int:
    """Record that the volunteer leaves: 1 lock, 2 mark the day, 3 free their coming shifts, 4 end their links.

    Returns how many shifts were freed. Twice is harmless. Records of past clinics stay as long as retention asks.
    """
    hold_clinics(volunteer, now)
    row = Volunteer.objects.select_for_update(no_key=True).get(pk=volunteer.pk)
    if row.left_on is not None:
        return 0
    row.left_on = today
    row.save(update_fields=["left_on"])
    return free_former(row, now)


@transaction.atomic
def hold_clinics(volunteer: Volunteer, now: datetime) -> None:
    """Lock the clinics that somebody is asked for or comes to, and then their own row, as moves do."""
    theirs = _coming(now).filter(volunteer=volunteer).order_by()
    hold([volunteer.pk], Clinic.objects.filter(pk__in=theirs.values("shift__clinic")))


@transaction.atomic
def free_former(volunteer: Volunteer, now: datetime) -> int:
    """Free the coming shifts of a person who left, or those of duties they no longer hold; returns how many.

    A person who left loses links and waiting notes too. Twice is harmless. The caller holds their clinics already.
    """
    coming = list(_coming(now).filter(volunteer=volunteer))
    clinics = _locked_clinics(coming)
    row = Volunteer.objects.select_for_update(no_key=True).get(pk=volunteer.pk)
    if row.left_on is None:
        coming = [one for one in coming if one.shift.duty_id not in row.duties]
    freed = 0
    for one in Assignment.objects.locked_in(one.pk for one in coming):
        if one.live:
            duty = one.shift.duty_name
            because = gettext("you no longer have this duty: %(duty)s") % {"duty": duty}
            if row.left_on is not None:
                because = gettext("you’re no longer a volunteer with us")
            release(one, clinics[one.shift.clinic_id], because, now)
            freed += 1
    if row.left_on is not None:
        row.link_counter += 1
        row.feed_counter += 1
        row.save(update_fields=["link_counter", "feed_counter"])
        drop_waiting(why=gettext("This person is no longer a volunteer."), about=row, kinds=[CLEARANCE_NOTICE])
    return freed


@transaction.atomic
def release_ineligible(volunteer: Volunteer, now: datetime) -> list[Assignment]:
    """Release one person's coming shifts for which they can stand neither today nor on the clinic's day.

    1 lock the clinics, 2 ask standing of both days, 3 release with a kind note, 4 ask the next best where the
    coordinator has chosen that. A clearance that is still current today and expires before the clinic releases
    nothing yet: there is time to renew, and Ahead shows it. Running it twice is harmless.
    """
    rows = list(_coming(now).filter(volunteer=volunteer))
    clinics = _locked_clinics(rows)
    book = open_book([volunteer.pk])
    gone = []
    for row in Assignment.objects.locked_in(row.pk for row in rows):
        clinic = clinics[row.shift.clinic_id]
        if row.live and _ineligible(row, clinic, book, now) is not None:
            release(row, clinic, _kindly(row, clinic, book), now)
            gone.append(row)
    for row in gone:
        offer_next(shift=row.shift, clinic=clinics[row.shift.clinic_id], now=now)
    return gone


def release_all_ineligible(*, now: datetime) -> int:
    """Release everybody whose clearance has expired by now; returns how many shifts. One transaction per person."""
    rows = list(_coming(now).select_related("shift__clinic__center"))
    book = open_book({row.volunteer_id for row in rows})
    waiting = _unconfirmed(row.volunteer_id for row in rows)
    ineligible = {
        row.volunteer_id
        for row in rows
        if row.volunteer_id not in waiting and _ineligible(row, row.shift.clinic, book, now) is not None
    }
    return sum(len(release_ineligible(volunteer, now)) for volunteer in Volunteer.objects.filter(pk__in=ineligible))


def _locked_clinics(rows: Iterable[Assignment]) -> dict[int, Clinic]:
    """The clinics of these rows, locked in one order, so that two who do the same can't hold each other up."""
    return {one.pk: one for one in Clinic.objects.locked_in({row.shift.clinic_id for row in rows})}


def _coming(now: datetime) -> AssignmentQuerySet:
    rows = Assignment.objects.live().filter(shift__clinic__starts_at__gt=now)
    return rows.exclude(shift__clinic__status=Status.CANCELLED).select_related("shift")


def _unconfirmed(volunteer_ids: Iterable[int]) -> set[int]:
    """Whoever has a refused result that nobody has looked at a second time."""
    rows = Clearance.objects.filter(
        volunteer__in=set(volunteer_ids), state=ClearanceState.REFUSED, confirmed_at__isnull=True
    )
    return set(rows.values_list("volunteer_id", flat=True))


def _ineligible(row: Assignment, clinic: Clinic, book: StandingBook, now: datetime) -> Standing | None:
    """The standing on the clinic's day when it fails there and fails today already; else None."""
    today = now.astimezone(clinic.center.tz).date()
    on_the_day = book.on(row.volunteer_id, row.shift.duty_id, clinic.day, clinic.center.place)
    if on_the_day.ok or book.on(row.volunteer_id, row.shift.duty_id, today, clinic.center.place).ok:
        return None
    return on_the_day


def _kindly(row: Assignment, clinic: Clinic, book: StandingBook) -> str:
    """Why, in words that judge nobody: what to renew, or whom to talk to."""
    standing = book.on(row.volunteer_id, row.shift.duty_id, clinic.day, clinic.center.place)
    words = []
    for kind, state, _ in standing.reasons:
        last = standing.last_days.get(kind)
        facts = {"clearance": book.kind_names.get(kind, kind), "day": full_date(last) if last else ""}
        if state == "expired" and last:
            words.append(gettext("your %(clearance)s expired on %(day)s") % facts)
        elif state == "expired":
            words.append(gettext("your %(clearance)s has expired") % facts)
        elif state in ("missing", "awaiting", "refused"):
            words.append(gettext("we don’t have a clear result on file for your %(clearance)s; please call us") % facts)
    return "; ".join(words)
