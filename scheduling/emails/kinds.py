"""Which letter each kind of note is."""

from collections.abc import Callable
from datetime import datetime

from scheduling.emails.accounts import apply_decided, apply_link, password_reset
from scheduling.emails.agreements import agreement_ending
from scheduling.emails.asking import late_drop, standby, standby_call, standby_ended, swap_ask, swap_done
from scheduling.emails.bookings import (
    booking_ask,
    booking_ask_many,
    booking_called_off,
    booking_shorter,
    booking_taken,
    floor_left,
    hold_ending,
)
from scheduling.emails.clearances import clearance_notice, clinic_breaks
from scheduling.emails.families import (
    family_cancelled,
    family_link,
    family_moved,
    place_lost,
    place_offer,
    places,
    waiver_ask,
)
from scheduling.emails.family_requests import family_request
from scheduling.emails.letter import Letter
from scheduling.emails.own_page import address_changed, address_confirm, own_page
from scheduling.emails.shifts import clinic_cancelled, reminder, shift_ask, shift_released, shift_told
from scheduling.models import Note, NoteKind

__all__ = ["letter_for"]

KINDS: dict[NoteKind, Callable[[Note, datetime], Letter]] = {
    NoteKind.SHIFT_ASK: shift_ask,
    NoteKind.SHIFT_CHANGED: shift_ask,
    NoteKind.SHIFT_TOLD: shift_told,
    NoteKind.SHIFT_RELEASED: shift_released,
    NoteKind.CLINIC_CANCELLED: clinic_cancelled,
    NoteKind.REMINDER: reminder,
    NoteKind.BOOKING_ASK: booking_ask,
    NoteKind.HOLD_ENDING: hold_ending,
    NoteKind.BOOKING_ASK_MANY: booking_ask_many,
    NoteKind.BOOKING_SHORTER: booking_shorter,
    NoteKind.BOOKING_TAKEN: booking_taken,
    NoteKind.BOOKING_CALLED_OFF: booking_called_off,
    NoteKind.FLOOR_LEFT: floor_left,
    NoteKind.PASSWORD_RESET: password_reset,
    NoteKind.AGREEMENT_ENDING: agreement_ending,
    NoteKind.CLEARANCE_NOTICE: clearance_notice,
    NoteKind.CLINIC_BREAKS: clinic_breaks,
    NoteKind.OWN_PAGE: own_page,
    NoteKind.STANDBY: standby,
    NoteKind.STANDBY_ENDED: standby_ended,
    NoteKind.STANDBY_CALL: standby_call,
    NoteKind.LATE_DROP: late_drop,
    NoteKind.SWAP_ASK: swap_ask,
    NoteKind.SWAP_DONE: swap_done,
    NoteKind.FAMILY_REQUEST: family_request,
    NoteKind.ADDRESS_CONFIRM: address_confirm,
    NoteKind.ADDRESS_CHANGED: address_changed,
    NoteKind.APPLY_CONFIRM: apply_link,
    NoteKind.APPLY_MORE: apply_link,
    NoteKind.APPLY_ACCEPTED: apply_decided,
    NoteKind.APPLY_DECLINED: apply_decided,
    NoteKind.PLACES: places,
    NoteKind.PLACE_OFFER: place_offer,
    NoteKind.PLACE_LOST: place_lost,
    NoteKind.FAMILY_LINK: family_link,
    NoteKind.FAMILY_MOVED: family_moved,
    NoteKind.FAMILY_CANCELLED: family_cancelled,
    NoteKind.WAIVER_ASK: waiver_ask,
}


def letter_for(note: Note, now: datetime) -> Letter:
    """Everything the note says as of ``now``; Untrue when it should not go out any more.

    ``note`` needs ``clinic__center``, ``booking__space``, ``assignment__shift`` and ``volunteer`` loaded.
    """
    return KINDS[NoteKind(note.kind)](note, now)
