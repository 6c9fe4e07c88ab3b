"""What needs the coordinator now, soonest first, and the next clinics."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from django.urls import reverse

from clinics.models import Clinic, ClosedDays, Status
from people.models import Application, Clearance, ClearanceState, duties
from scheduling.models import Answer, Booking, Note, NoteState, Reply
from scheduling.queries.asking import open_swaps
from scheduling.queries.clinics import ClinicLine, clinics_ahead, lines_by_day
from scheduling.queries.horizon import broken_assignments
from scheduling.queries.kits import kits_in_wrong_place
from scheduling.words import long_day, short_day, span, when_words

__all__ = ["AheadPage", "Need", "ahead_page"]

FORTNIGHT = timedelta(days=14)
# More than one evening's work is counted, not listed.
MOST_NEEDS = 40
# How far each kind of trouble is looked for: standing early enough to renew, cover within two weeks.
STANDING_DAYS = 60
UNANSWERED_AFTER = timedelta(days=3)


@dataclass(frozen=True)
class Need:
    day: date
    rank: int  # among needs of one day: what can hurt somebody first
    headline: str
    detail: str
    action_label: str
    action_href: str
    days_text: str = ""
    first: bool = False


@dataclass(frozen=True)
class AheadPage:
    needs: list[Need]
    days: list[tuple[date, list[ClinicLine]]]
    more: int  # needs beyond those listed
    clinics: int
    accepted: int
    shifts: int


def ahead_page(now: datetime, today: date) -> AheadPage:
    """Everything on Ahead in a number of queries that does not grow with rows."""
    clinics = list(clinics_ahead(now).live().filter(starts_at__lt=now + FORTNIGHT))
    days = lines_by_day(clinics)
    lines = [line for _, of_day in days for line in of_day]
    found = [
        *_standing_needs(now, today),
        *_cover_needs(lines, today),
        *_booking_needs(now),
        *_kit_needs(now),
        *_note_needs(today),
        *_second_look_needs(today),
        *_application_needs(today),
        *_swap_needs(now),
        *_safety_needs(clinics),
        *_closed_needs(clinics),
    ]
    found.sort(key=lambda need: (need.day, need.rank, need.headline))
    needs = [
        replace(need, days_text=when_words(need.day, today), first=place == 0)
        for place, need in enumerate(found[:MOST_NEEDS])
    ]
    return AheadPage(
        needs=needs,
        days=days,
        more=max(0, len(found) - MOST_NEEDS),
        clinics=len(lines),
        accepted=sum(line.strip.accepted for line in lines),
        shifts=sum(line.strip.total for line in lines),
    )


def _standing_needs(now: datetime, today: date) -> Iterator[Need]:
    for broken in broken_assignments(now, days=STANDING_DAYS):
        row = broken.assignment
        clinic = row.shift.clinic
        state = "accepted" if row.reply == Reply.ACCEPTED else "was asked"
        yield Need(
            day=clinic.day,
            rank=0,
            headline=f"{row.volunteer} can't stand at {clinic.center.name}",
            detail=f"{row.shift.duty_name.capitalize()}, {state}: {'; '.join(broken.words)}.",
            action_label="See who could",
            action_href=reverse("shift-who", args=[row.shift_id]),
        )


def _closed_needs(clinics: list[Clinic]) -> Iterator[Need]:
    """Clinics on a day that their center has closed since. One query."""
    closed: dict[int, list[ClosedDays]] = {}
    for row in ClosedDays.objects.filter(center__in={clinic.center_id for clinic in clinics}):
        closed.setdefault(row.center_id, []).append(row)
    for clinic in clinics:
        for row in closed.get(clinic.center_id, []):
            if row.first_day <= clinic.day <= row.last_day:
                yield Need(
                    day=clinic.day,
                    rank=0,
                    headline=f"{clinic.center.name} is closed on the day of its clinic",
                    detail=f"Closed: {row.why or 'no reason noted'}. Move the clinic, or ask the center.",
                    action_label="Open the clinic",
                    action_href=reverse("clinic", args=[clinic.pk]),
                )


def _safety_needs(clinics: list[Clinic]) -> Iterator[Need]:
    """Centers with a clinic soon whose safety sheet has an empty line, each once, on its first clinic's day."""
    seen: set[int] = set()
    for clinic in clinics:
        missing = clinic.center.safety_missing
        if missing and clinic.center_id not in seen:
            seen.add(clinic.center_id)
            yield Need(
                day=clinic.day,
                rank=2,
                headline=f"{clinic.center.name} has gaps in its safety sheet",
                detail=f"Nobody has noted: {', '.join(missing)}. No clinic there is confirmed until it is whole.",
                action_label="Fill it in",
                action_href=reverse("center-change", args=[clinic.center_id]),
            )


def _swap_needs(now: datetime) -> Iterator[Need]:
    for swap in open_swaps().filter(assignment__shift__clinic__starts_at__gt=now):
        held = swap.assignment
        clinic = held.shift.clinic
        yield Need(
            day=clinic.day,
            rank=2,
            headline=f"{held.volunteer} and {swap.to} would swap",
            detail=f"{held.shift.duty_name.capitalize()} at {clinic.center.name}: both agree, and it waits for you.",
            action_label="Open the clinic",
            action_href=reverse("clinic", args=[clinic.pk]),
        )


def _cover_needs(lines: list[ClinicLine], today: date) -> Iterator[Need]:
    for line in lines:
        opened = [cell for cell in line.strip.cells if cell.state == "open"]
        if opened:
            missing = _counted([duties().noun(cell.shift.duty) for cell in opened])
            yield Need(
                day=line.clinic.day,
                rank=1,
                headline=f"No {missing} at {line.center}",
                detail=f"{line.starts} to {line.ends}, {line.summary}. "
                f"{line.strip.accepted} of {line.strip.total} shifts are accepted.",
                action_label="See who could" if len(opened) == 1 else "Cover the clinic",
                action_href=reverse("shift-who", args=[opened[0].shift.pk]) if len(opened) == 1 else line.href,
            )
        silent = [
            cell
            for cell in line.strip.cells
            if cell.state == "asked"
            and cell.assignment is not None
            and (today - cell.assignment.asked_at.date()).days >= UNANSWERED_AFTER.days
        ]
        if silent:
            names = " and ".join(cell.person for cell in silent[:2])
            more = f" and {len(silent) - 2} more" if len(silent) > 2 else ""
            yield Need(
                day=line.clinic.day,
                rank=2,
                headline=f"{names}{more} {'has' if len(silent) == 1 else 'have'} not answered",
                detail=f"{line.center}, {line.starts} to {line.ends}. Asked at least {UNANSWERED_AFTER.days} days ago.",
                action_label="Open the clinic",
                action_href=line.href,
            )


def _booking_needs(now: datetime) -> Iterator[Need]:
    coming = Clinic.objects.live().filter(starts_at__gt=now)
    waiting = Booking.objects.live().filter(clinic__in=coming, status=Status.TENTATIVE)
    for booking in waiting.select_related("clinic__center", "space"):
        clinic = booking.clinic
        if booking.answer == Answer.ANOTHER_TIME:
            assert booking.suggested_start is not None and booking.suggested_end is not None
            start, end = (m.astimezone(clinic.center.tz) for m in (booking.suggested_start, booking.suggested_end))
            yield Need(
                day=clinic.day,
                rank=3,
                headline=f"{clinic.center.name} suggests another time",
                detail=f"{long_day(start.date())}, {span(start, end)}, instead of "
                f"{short_day(clinic.day)}, {span(clinic.local_start, clinic.local_end)}.",
                action_label="See the suggestion",
                action_href=reverse("clinic", args=[clinic.pk]),
            )
        elif not booking.answer and now - booking.asked_at >= UNANSWERED_AFTER:
            days = (now - booking.asked_at).days
            yield Need(
                day=clinic.day,
                rank=3,
                headline=f"{clinic.center.name} has not answered",
                detail=f"{booking.space.name}, {span(clinic.local_start, clinic.local_end)}. Asked {days} days ago.",
                action_label="Open the booking",
                action_href=reverse("clinic", args=[clinic.pk]),
            )
    held = Booking.objects.live().values("clinic")
    refused = set(
        Booking.objects.filter(clinic__in=coming, answer=Answer.NOT_POSSIBLE).values_list("clinic", flat=True)
    )
    for clinic in coming.exclude(pk__in=held).select_related("center"):
        yield Need(
            day=clinic.day,
            rank=3,
            headline=f"{clinic.center.name} "
            + ("can't give the floor" if clinic.pk in refused else "has not answered in time"),
            detail=f"The clinic on {long_day(clinic.day)} has no floor. Choose another time or space, or cancel it.",
            action_label="Choose again",
            action_href=reverse("clinic-change", args=[clinic.pk]),
        )


def _kit_needs(now: datetime) -> Iterator[Need]:
    for astray in kits_in_wrong_place(now, now + FORTNIGHT):
        km = "" if astray.km is None else f" {astray.km:.0f} km as the crow flies."
        yield Need(
            day=astray.clinic.day,
            rank=4,
            headline=f"{astray.kit} is {astray.where}",
            detail=f"It is due at {astray.clinic.center.name} on {long_day(astray.clinic.day)}.{km}",
            action_label="Record the trip",
            action_href=reverse("kits"),
        )


def _note_needs(today: date) -> Iterator[Need]:
    stuck = Note.objects.filter(state=NoteState.STUCK).count()
    if stuck:
        yield Need(
            day=today,
            rank=5,
            headline=f"{stuck} {'note has' if stuck == 1 else 'notes have'} not gone out",
            detail="The mail server refused. The outbox shows its words.",
            action_label="Open the outbox",
            action_href=reverse("outbox") + "?state=stuck",
        )


def _second_look_needs(today: date) -> Iterator[Need]:
    rows = Clearance.objects.filter(state=ClearanceState.REFUSED, confirmed_at__isnull=True)
    for row in rows.select_related("volunteer", "kind"):
        yield Need(
            day=today,
            rank=0,
            headline=f"A result of {row.volunteer} needs a second person",
            detail=f"{str(row.kind).capitalize()}: nobody is told until somebody else confirms what was recorded.",
            action_label="Open the person",
            action_href=reverse("volunteer", args=[row.volunteer_id]),
        )


def _application_needs(today: date) -> Iterator[Need]:
    count = Application.objects.filter(state=Application.State.NEW).count()
    if count:
        yield Need(
            day=today,
            rank=6,
            headline=f"{count} {'person would' if count == 1 else 'people would'} like to help",
            detail="They have confirmed their address and wait for an answer.",
            action_label="Look at them",
            action_href=reverse("applications"),
        )


def _counted(words: list[str]) -> str:
    """first aider, 2 coaches and door."""
    parts = []
    for word in dict.fromkeys(words):
        count = words.count(word)
        plural = word + ("es" if word.endswith("ch") else "s")
        parts.append(word if count == 1 else f"{count} {plural}")
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} or {parts[-1]}"
