"""When a clinic's time changes: who can still make it is asked again or told, who can't is released kindly."""

from datetime import datetime

from clinics.models import Clinic
from config.refusal import Refusal
from people.models import Volunteer
from people.queries.standing import open_book
from scheduling.models import Assignment, NoteKind, Reply, ReplyRecord, Standby, Swap
from scheduling.queries.candidates import assignment_period, elsewhere
from scheduling.services.outbox import drop_waiting, note_to_volunteer
from scheduling.words import clinic_words

__all__ = ["carry_people", "release"]


def carry_people(clinic: Clinic, now: datetime, *, ask: bool = True) -> None:
    """Bring everybody on the clinic to its new time. Must run inside the move's transaction.

    A person who is elsewhere at the new time, or whose standing fails on the new day, is released with a note. With
    ``ask`` the others are asked again, and what hung on the old time (stand-bys, open swaps) ends. Without it, because
    the change is small, who said yes stays and is told; who has not answered is asked for the new time.
    """
    period = assignment_period(clinic)
    rows = list(
        Assignment.objects.live()
        .filter(shift__clinic=clinic)
        .select_for_update(of=("self",))
        .select_related("volunteer", "shift__clinic__center")
    )
    # One at a time for each person, in one order: two at the exclusion constraint would each wait for the other.
    people = Volunteer.objects.filter(pk__in={row.volunteer_id for row in rows})
    list(people.select_for_update(no_key=True).order_by("pk"))
    book = open_book(row.volunteer_id for row in rows)
    if ask:
        _end_what_hung_on_it(clinic, now)
    for row in rows:
        clash = elsewhere(row.volunteer, period, but_for=row)
        if clash is not None:
            release(row, clinic, f"the new time meets your shift at {clash.shift.clinic.center.name}", now)
        elif not book.on(row.volunteer_id, row.shift.duty, clinic.day, clinic.center.place).ok:
            release(row, clinic, "a clearance would not be in date on the new day", now)
        elif ask or row.reply != Reply.ACCEPTED:
            _ask_again(row, clinic, period, now)
        else:
            _tell(row, clinic, period, now)


def _end_what_hung_on_it(clinic: Clinic, now: datetime) -> None:
    Standby.objects.filter(clinic=clinic).delete()
    open_states = [Swap.State.ASKED, Swap.State.AGREED]
    for swap in Swap.objects.select_for_update().filter(assignment__shift__clinic=clinic, state__in=open_states):
        swap.state, swap.answered_at, swap.words = Swap.State.REFUSED, now, "The clinic has another time now."
        swap.link_counter += 1
        swap.save()


def _tell(row: Assignment, clinic: Clinic, period: tuple[datetime, datetime], now: datetime) -> None:
    """Their yes stands: the calendar moves with a higher SEQUENCE and the same UID, and the link stays good."""
    row.period = period
    row.sequence += 1
    row.save()
    drop_waiting(why="The clinic moved a little.", assignment=row)
    note_to_volunteer(
        kind=NoteKind.SHIFT_TOLD,
        assignment=row,
        clinic=clinic,
        summary=f"New hours for {row.volunteer}: {row.shift.duty_name}, {clinic_words(clinic)}",
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
    drop_waiting(why="The clinic moved.", assignment=row)
    note_to_volunteer(
        kind=NoteKind.SHIFT_CHANGED,
        assignment=row,
        clinic=clinic,
        summary=f"New time for {row.volunteer}: {row.shift.duty_name}, {clinic_words(clinic)}",
        now=now,
        sequence=row.sequence,
    )


def release(row: Assignment, clinic: Clinic, because: str, now: datetime) -> None:
    """Take a person off a shift and tell them, calendar part included. Must run inside a transaction."""
    if not row.live:
        raise Refusal.because("not on it", f"{row.volunteer} is no longer on this shift.")
    row.released_at, row.released_because = now, because
    row.sequence += 1
    row.link_counter += 1
    row.save()
    drop_waiting(why="The shift was released.", assignment=row)
    note_to_volunteer(
        kind=NoteKind.SHIFT_RELEASED,
        assignment=row,
        clinic=clinic,
        summary=f"Release {row.volunteer}: {row.shift.duty_name}, {clinic_words(clinic)}",
        now=now,
        sequence=row.sequence,
    )
