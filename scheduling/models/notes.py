"""The outbox: every message to one person, kept whatever happens to the mail server."""

import uuid

from django.conf import settings
from django.db import models
from django.db.models import Q

from clinics.models import Agreement, Clinic, Place
from config import clock, links
from people.models import Application, ClearanceKind, Guardian, Volunteer
from scheduling.models.askings import Asking
from scheduling.models.bookings import Booking
from scheduling.models.shifts import Assignment


class NoteState(models.TextChoices):
    WAITING = "waiting", "waiting"
    SENDING = "sending", "being sent"
    SENT = "sent", "sent"
    DROPPED = "dropped", "no longer needed"
    STUCK = "stuck", "needs a person"


class NoteKind(models.TextChoices):
    BOOKING_ASK = "booking-ask", "floor asked for"
    BOOKING_ASK_MANY = "booking-ask-many", "floor asked for, several days"
    HOLD_ENDING = "hold-ending", "hold about to end"
    BOOKING_SHORTER = "booking-shorter", "floor needed for less"
    BOOKING_TAKEN = "booking-taken", "suggested time taken"
    BOOKING_CALLED_OFF = "booking-called-off", "floor no longer needed"
    FLOOR_LEFT = "floor-left", "floor given back, clinic elsewhere"
    SHIFT_ASK = "shift-ask", "shift asked"
    SHIFT_CHANGED = "shift-changed", "shift moved"
    SHIFT_TOLD = "shift-told", "shift moved a little"
    SHIFT_RELEASED = "shift-released", "shift released"
    CLINIC_CANCELLED = "clinic-cancelled", "clinic cancelled"
    REMINDER = "reminder", "reminder"
    AGREEMENT_ENDING = "agreement-ending", "agreement about to end"
    CLEARANCE_NOTICE = "clearance-notice", "clearance to renew"
    CLINIC_BREAKS = "clinic-breaks", "clearance breaks a clinic"
    PASSWORD_RESET = "password-reset", "new password"
    APPLY_CONFIRM = "apply-confirm", "address to confirm"
    APPLY_MORE = "apply-more", "asked for more"
    APPLY_ACCEPTED = "apply-accepted", "application accepted"
    APPLY_DECLINED = "apply-declined", "application declined"
    OWN_PAGE = "own-page", "link to their own page"
    ADDRESS_CONFIRM = "address-confirm", "new address to confirm"
    STANDBY = "standby", "stands by"
    STANDBY_ENDED = "standby-ended", "no longer stands by"
    STANDBY_CALL = "standby-call", "called from stand-by"
    LATE_DROP = "late-drop", "late drop-out"
    SWAP_ASK = "swap-ask", "swap asked"
    SWAP_DONE = "swap-done", "swap settled"
    ADDRESS_CHANGED = "address-changed", "address changed"
    # To guardians. Neither summary nor subject ever names a child.
    PLACES = "places", "places asked for"
    PLACE_OFFER = "place-offer", "place come free"
    PLACE_LOST = "place-lost", "place ended"
    FAMILY_LINK = "family-link", "link to the family page"
    FAMILY_MOVED = "family-moved", "clinic moved, to a family"
    FAMILY_CANCELLED = "family-cancelled", "clinic cancelled, to a family"
    WAIVER_ASK = "waiver-ask", "waiver to sign"
    FAMILY_REQUEST = "family-request", "copy or erasure"


class Note(models.Model):
    """One message to one person.

    ``key`` says what, whom, which revision of the clinic and which rung, so planning twice writes one row.
    The text is made when it is sent, from what is true then; no signed link is ever stored.
    """

    key = models.CharField(max_length=200, unique=True)
    kind = models.CharField(max_length=24, choices=NoteKind.choices)
    to_name = models.CharField(max_length=120)
    to_email = models.EmailField()
    summary = models.CharField(max_length=200, help_text="One line for the outbox page.")
    state = models.CharField(max_length=10, choices=NoteState.choices, default=NoteState.WAITING)
    due_at = models.DateTimeField()
    written_at = models.DateTimeField(default=clock.now, editable=False)

    clinic = models.ForeignKey(Clinic, null=True, on_delete=models.CASCADE, related_name="notes")
    # The revision of the clinic that this note speaks of; another revision makes it untrue.
    revision = models.PositiveIntegerField(null=True)
    asking = models.ForeignKey(Asking, null=True, on_delete=models.CASCADE, related_name="notes")
    booking = models.ForeignKey(Booking, null=True, on_delete=models.CASCADE, related_name="notes")
    assignment = models.ForeignKey(Assignment, null=True, on_delete=models.CASCADE, related_name="notes")
    volunteer = models.ForeignKey(Volunteer, null=True, on_delete=models.CASCADE, related_name="notes")
    application = models.ForeignKey(Application, null=True, on_delete=models.CASCADE, related_name="notes")
    guardian = models.ForeignKey(Guardian, null=True, on_delete=models.CASCADE, related_name="notes")
    place = models.ForeignKey(Place, null=True, on_delete=models.CASCADE, related_name="notes")
    account = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.CASCADE, related_name="+")
    rung = models.CharField(max_length=20, blank=True)
    # What a note about a clearance speaks of, and the last day it names; another last day makes it untrue.
    clearance_kind = models.ForeignKey(ClearanceKind, null=True, on_delete=models.CASCADE, related_name="+")
    last_day = models.DateField(null=True)
    # The agreement that a note to a center says is ending; its last day is in last_day too.
    agreement = models.ForeignKey(Agreement, null=True, on_delete=models.CASCADE, related_name="notes")
    # The calendar part's SEQUENCE, fixed when the note was written so that a repeat says the same.
    sequence = models.PositiveIntegerField(null=True)

    claim = models.UUIDField(null=True)
    claimed_until = models.DateTimeField(null=True)
    tries = models.PositiveSmallIntegerField(default=0)
    last_answer = models.TextField(blank=True, help_text="The mail server's own words, or why it was dropped.")
    message_id = models.CharField(max_length=120, unique=True)
    sent_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["-due_at", "-pk"]
        indexes = [
            models.Index(fields=["due_at"], condition=Q(state__in=["waiting", "sending"]), name="notes_to_send"),
            models.Index(fields=["-due_at", "-id"], name="notes_newest_first"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(sent_at__isnull=False) | ~Q(state="sent"), name="a_sent_note_has_its_time"
            ),
            models.CheckConstraint(
                condition=~Q(state="sending") | Q(claim__isnull=False, claimed_until__isnull=False),
                name="a_note_being_sent_is_claimed",
            ),
        ]

    def __str__(self) -> str:
        return self.summary


def new_message_id() -> str:
    return f"<{uuid.uuid4().hex}@{links.host()}>"
