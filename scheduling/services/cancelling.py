"""Calling a clinic off: the hold, the kit, the people and their calendars, in one transaction."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext

from clinics.formatting import clinic_words
from clinics.models import Clinic, Status
from core.refusal import Refusal
from families.letters.families import SPOT_LOST
from families.services.spots import tell_families_cancelled
from kits.models import KitBooking
from outbox.services.writing import drop_waiting
from scheduling.letters.bookings import BOOKING_CALLED_OFF, SPACE_RELEASED
from scheduling.models import Booking
from scheduling.services.notes_to_centers import note_to_center
from shifts.letters.backup_swaps import BACKUP_ENDED
from shifts.letters.shifts import CLINIC_CANCELLED, SHIFT_RELEASED
from shifts.models import Assignment
from shifts.models.shifts import CALLED_OFF
from shifts.services.moving import end_what_hung_on_it
from shifts.services.notes_to_volunteers import note_to_volunteer

__all__ = ["cancel_clinic"]


@transaction.atomic
def cancel_clinic(*, clinic: Clinic, because: str, now: datetime) -> Clinic:
    """Cancel a clinic that is not over. Cancelling it again changes nothing.

    1 lock, 2 the clinic's status and revision, 3 free space and kit, 4 drop waiting notes, 5 write to
    everybody who was asked (calendar METHOD CANCEL), to the center and to families, 6 free the people.
    """
    clinic = Clinic.objects.locked(clinic.pk)
    if clinic.status == Status.CANCELLED:
        return clinic
    if clinic.ends_at <= now:
        raise Refusal.because("over", gettext("This clinic is over, so it can’t be cancelled."))
    clinic.status, clinic.cancelled_because = Status.CANCELLED, because
    clinic.revision += 1
    clinic.save()
    # Who was taken off before, a space given back and a spot ended before must still be heard of.
    still_true = (
        SHIFT_RELEASED,
        BOOKING_CALLED_OFF,
        SPACE_RELEASED,
        SPOT_LOST,
        BACKUP_ENDED,
    )
    drop_waiting(why="The clinic was cancelled.", about=clinic, but=still_true)
    for booking in Booking.objects.live().filter(clinic=clinic).select_related("space"):
        booking.status = Status.CANCELLED
        booking.link_counter += 1
        booking.save()
        booking.clinic = clinic
        note_to_center(
            kind=BOOKING_CALLED_OFF,
            booking=booking,
            summary=f"Release {booking.space.name}: {clinic_words(clinic)}",
            now=now,
        )
    KitBooking.objects.filter(clinic=clinic).update(status=Status.CANCELLED)
    people = Assignment.objects.live().filter(shift__clinic=clinic).select_for_update(no_key=True, of=("self",))
    for row in people.select_related("volunteer", "shift"):
        row.sequence += 1
        row.released_at, row.released_because = now, CALLED_OFF
        row.save()
        note_to_volunteer(
            kind=CLINIC_CANCELLED,
            assignment=row,
            clinic=clinic,
            summary=f"Cancelled, to {row.volunteer}: {clinic_words(clinic)}",
            now=now,
            sequence=row.sequence,
        )
    end_what_hung_on_it(clinic, now)
    tell_families_cancelled(clinic=clinic, now=now)
    return clinic
