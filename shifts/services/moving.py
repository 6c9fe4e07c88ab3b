"""When a clinic's time changes: who can still make it is asked again or told, who can't is released kindly."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from django.conf import settings
from django.utils.translation import gettext

from clinics.formatting import clinic_words
from clinics.models import Clinic
from core.refusal import Refusal
from outbox.services.writing import drop_waiting
from people.models import Volunteer
from people.queries.standing import open_book
from shifts.letters.backup_swaps import BACKUP_ENDED
from shifts.letters.shifts import SHIFT_CHANGED, SHIFT_RELEASED, SHIFT_TOLD
from shifts.models import Assignment, Away, Backup, Reply, ReplyRecord, Swap
from shifts.queries.eligibility import assignment_period, stays_near, within_reach
from shifts.rules.moves import Hours, needs_asking
from shifts.services.notes_to_volunteers import note_about_clinic, note_to_volunteer

__all__ = ["asks_again", "carry_people", "end_what_hung_on_it", "hours_of", "release"]


def carry_people(clinic: Clinic, now: datetime, *, ask: bool = True) -> None:
    """Bring everybody on the clinic to its new time. Must run inside the move's transaction.

    A person who is elsewhere at the new time or can't come from there in time, whose standing fails on the new day, or
    who told us that they are away on it, is released with a note. With ``ask`` the others are asked again, and what
    hung on the old time (backups, open swaps) ends. Without it, because the change is small, who said yes stays and
    is told; who has not answered is asked for the new time.
    """
    period = assignment_period(clinic)
    rows = list(
        Assignment.objects.live()
        .filter(shift__clinic=clinic)
        .select_for_update(no_key=True, of=("self",))
        .select_related("volunteer", "shift__clinic__center")
    )
    # One at a time for each person, in one order: two at the exclusion constraint would each wait for the other.
    people = Volunteer.objects.filter(pk__in={row.volunteer_id for row in rows})
    list(people.select_for_update(no_key=True).order_by("pk"))
    book = open_book(row.volunteer_id for row in rows)
    if ask:
        end_what_hung_on_it(clinic, now)
    elsewhere = _elsewhere(clinic, rows)
    away = _away(clinic, rows)
    for row in rows:
        if row.pk in elsewhere:
            release(row, clinic, elsewhere[row.pk], now)
        elif row.pk in away:
            release(row, clinic, gettext("you told us you’re away on the new day"), now)
        elif not book.on(row.volunteer_id, row.shift.duty_id, clinic.day, clinic.center.place).ok:
            release(row, clinic, gettext("one of your clearances won’t be current on the new day"), now)
        elif ask or row.reply != Reply.ACCEPTED:
            _ask_again(row, clinic, period, now)
        else:
            _tell(row, clinic, period, now)


def hours_of(clinic: Clinic) -> Hours:
    """The clinic's hours on the wall clock of its center."""
    return Hours(clinic.local_start.replace(tzinfo=None), clinic.local_end.replace(tzinfo=None))


def asks_again(before: Hours, clinic: Clinic, *, same_center: bool = True) -> bool:
    """Whether people must be asked again because the clinic's hours moved too far from ``before``.

    ``MOVE_TOLERANCE_MINUTES`` says how far is too far.
    """
    tolerance = timedelta(minutes=settings.MOVE_TOLERANCE_MINUTES)
    return needs_asking(before, hours_of(clinic), tolerance, same_center)


def _elsewhere(clinic: Clinic, rows: Sequence[Assignment]) -> dict[int, str]:
    """By assignment: why another shift keeps this person from the new time. One query.

    Who could not come in time by our reckoning before either, and said yes, knows better; that is left to them.
    """
    period = assignment_period(clinic)
    near = stays_near([row.volunteer_id for row in rows], period, but_for=clinic)
    found: dict[int, str] = {}
    for row in rows:
        old = (row.period.lower, row.period.upper)
        for stay in near.get(row.volunteer_id, ()):
            other = stay.shift.clinic.center
            if stay.period.lower < period[1] and period[0] < stay.period.upper:
                text = gettext("the new time overlaps your shift at %(center)s")
                found[row.pk] = text % {"center": other.name}
                break
            if within_reach(stay, old, clinic.center) and not within_reach(stay, period, clinic.center):
                text = gettext("there isn’t enough travel time from your shift at %(center)s")
                found[row.pk] = text % {"center": other.name}
    return found


def _away(clinic: Clinic, rows: Sequence[Assignment]) -> set[int]:
    """Assignments whose people are away on the new day; who said yes to this very day in spite of it is left."""
    gone = set(
        Away.objects.filter(
            volunteer__in=[row.volunteer_id for row in rows], first_day__lte=clinic.day, last_day__gte=clinic.day
        ).values_list("volunteer_id", flat=True)
    )
    tz = clinic.center.tz
    return {row.pk for row in rows if row.volunteer_id in gone and row.period.lower.astimezone(tz).date() != clinic.day}


def end_what_hung_on_it(clinic: Clinic, now: datetime) -> None:
    """End backups, and tell them, and end open swaps: both were for a time that is no more."""
    for row in Backup.objects.filter(clinic=clinic).select_related("volunteer"):
        note_about_clinic(
            kind=BACKUP_ENDED,
            what=f"backup {row.pk}",
            volunteer=row.volunteer,
            clinic=clinic,
            summary=gettext("No longer a backup: %(name)s, %(clinic)s")
            % {"name": row.volunteer, "clinic": clinic_words(clinic)},
            now=now,
            about=[row],
        )
        row.delete()
    open_states = [Swap.State.ASKED, Swap.State.AGREED]
    for swap in Swap.objects.select_for_update(no_key=True).filter(
        assignment__shift__clinic=clinic, state__in=open_states
    ):
        swap.state, swap.answered_at, swap.words = (
            Swap.State.REFUSED,
            now,
            gettext("the clinic has a new time") if clinic.live else gettext("the clinic was cancelled"),
        )
        swap.link_counter += 1
        swap.save()


def _tell(row: Assignment, clinic: Clinic, period: tuple[datetime, datetime], now: datetime) -> None:
    """Their yes stands: the calendar moves with a higher SEQUENCE and the same UID, and the link stays good."""
    row.period = period
    row.sequence += 1
    row.save()
    drop_waiting(why=gettext("The clinic’s time changed slightly."), about=row)
    note_to_volunteer(
        kind=SHIFT_TOLD,
        assignment=row,
        clinic=clinic,
        summary=gettext("Small time change for %(name)s: %(duty)s, %(clinic)s") % _who_and_where(row, clinic),
        now=now,
        sequence=row.sequence,
    )


def _ask_again(row: Assignment, clinic: Clinic, period: tuple[datetime, datetime], now: datetime) -> None:
    row.period = period
    row.asked_at, row.reply, row.replied_at = now, Reply.NEEDS_ACTION, None
    row.sequence += 1
    row.link_counter += 1
    row.save()
    ReplyRecord.objects.create(assignment=row, reply=Reply.NEEDS_ACTION, at=now, by="the clinic moved")
    drop_waiting(why=gettext("The clinic has a new time."), about=row)
    note_to_volunteer(
        kind=SHIFT_CHANGED,
        assignment=row,
        clinic=clinic,
        summary=gettext("New time for %(name)s: %(duty)s, %(clinic)s") % _who_and_where(row, clinic),
        now=now,
        sequence=row.sequence,
    )


def _who_and_where(row: Assignment, clinic: Clinic) -> dict[str, str]:
    return {"name": row.volunteer.name, "duty": row.shift.duty_name, "clinic": clinic_words(clinic)}


def release(row: Assignment, clinic: Clinic, because: str, now: datetime) -> None:
    """Take a person off a shift and tell them, calendar part included. Must run inside a transaction."""
    if not row.live:
        text = gettext("%(name)s is no longer on this shift.") % {"name": row.volunteer}
        raise Refusal.because("not on it", text)
    row.released_at, row.released_because = now, because
    row.sequence += 1
    row.link_counter += 1
    row.save()
    drop_waiting(why=gettext("This person was taken off the shift."), about=row)
    note_to_volunteer(
        kind=SHIFT_RELEASED,
        assignment=row,
        clinic=clinic,
        summary=gettext("Off the shift: %(name)s, %(duty)s, %(clinic)s") % _who_and_where(row, clinic),
        now=now,
        sequence=row.sequence,
    )
