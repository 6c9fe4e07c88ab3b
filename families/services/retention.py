"""What goes when its time is up, and what a guardian asked us to hand over or forget."""

from collections import Counter
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta

from django.db import transaction
from django.db.models import Exists, Max, OuterRef, Q
from django.utils.translation import gettext

from clinics.models import Clinic, Status
from core import clock
from core.refusal import Refusal
from families import hooks
from families.letters.family_requests import FAMILY_REQUEST
from families.models import (
    Child,
    FamilyRequest,
    Guardian,
    Guardianship,
    PhotoAnswer,
    PickupPerson,
    Retention,
    Spot,
    SpotState,
    Waiver,
)
from families.rules.retention import Record, RetentionRule, what_goes
from families.services.door import forget_door_readings
from families.services.household_rows import forget_in_tables
from families.services.notes_to_guardians import note_to_guardian
from families.services.redaction import forget_child, forget_guardian, redact_child, unlink_guardian
from families.services.spots import end_spot
from outbox.models import Note, NoteState
from outbox.services.writing import write_note
from people.models import Import, Purge, User

__all__ = ["children_due", "decide_request", "purge_children", "purge_leftovers", "rule_of"]

# What no one needs after it has done its work.
LEFTOVER_DAYS = 30
State, What = FamilyRequest.State, FamilyRequest.What


def rule_of(row: Retention) -> RetentionRule:
    return RetentionRule(row.child_months, row.majority_age, row.limitation_years, row.keep_waivers)


def children_due(*, today: date, rule: RetentionRule) -> Iterator[tuple[Child, str]]:
    """Children of whom something goes as of ``today``, with "notes" or "all". One query for any number.

    What was written of a child since its notes went, without a new spot, goes after the same months once more. No
    child is due whose guardian waits for an answer of ours.
    """
    live = ~Q(spots__state=SpotState.GIVEN_UP) & ~Q(spots__clinic__status=Status.CANCELLED)
    oldest = datetime.combine(today, time(), clock.home_zone())
    waiting = Q(state=State.WAITING)
    long_ago = oldest - timedelta(days=28 * rule.child_months - 1)
    rows = (
        Child.objects.known()
        .filter(held_because="")
        .annotate(
            last_at=Max("spots__clinic__starts_at", filter=live),
            signed=Exists(Waiver.objects.filter(child=OuterRef("pk"))),
            written=Q(has_care=True)
            | Exists(PickupPerson.objects.filter(child=OuterRef("pk")))
            | Exists(PhotoAnswer.objects.filter(child=OuterRef("pk")))
            | Exists(Guardianship.objects.filter(child=OuterRef("pk")).exclude(emergency_name="")),
        )
        .exclude(Exists(FamilyRequest.objects.filter(waiting, guardian__guardianships__child=OuterRef("pk"))))
        # Months have at least 28 days and a day's zone shifts it by one: nothing of whom this leaves out can be due.
        .filter(Q(last_at__lt=long_ago) | Q(last_at__isnull=True, registered_at__lt=long_ago))
        .order_by("pk")
    )
    for child in rows.iterator(chunk_size=2000):
        last = child.last_at or child.registered_at  # type: ignore[attr-defined]
        written = child.written  # type: ignore[attr-defined]
        if child.redacted_at is not None and written:
            last = max(last, child.redacted_at)
        record = Record(
            born=child.birth_date,
            last_day=last.astimezone(clock.home_zone()).date(),
            signed=child.signed,  # type: ignore[attr-defined]
            pared=child.redacted_at is not None and not written,
        )
        goes = what_goes(record, rule, today)
        if goes != "nothing":
            yield child, goes


@transaction.atomic
def purge_leftovers(*, now: datetime) -> int:
    """Delete what is left lying: phones' logs of clinics long over, who opened their sign-in sheets, tables of
    households that were read, last letters; returns how many went.
    """
    old = now - timedelta(days=LEFTOVER_DAYS)
    count = sum(hooks.purge_leftovers.ask(now)) + forget_door_readings(now=now)
    tables = Import.objects.filter(what=Import.What.HOUSEHOLDS, read_at__lt=old).exclude(rows=[], bad=[])
    count += tables.update(rows=[], bad=[])
    letters = Note.objects.about_no(Guardian).filter(kind=FAMILY_REQUEST, written_at__lt=old)
    count += letters.exclude(state=NoteState.STUCK).delete()[0]
    if count:
        Purge.objects.create(at=now, what="phone entries, imports, and last emails", count=count)
    return count


def purge_children(*, today: date, now: datetime) -> Counter[str]:
    """Forget what is due, one transaction a child, and record how many, never whom. Twice is harmless."""
    done: Counter[str] = Counter()
    for child, goes in list(children_due(today=today, rule=rule_of(Retention.now()))):
        with transaction.atomic():
            # Before the child, as a phone that sends does.
            hooks.lock_before_children.ask([child.pk])
            row = Child.objects.select_for_update(no_key=True).get(pk=child.pk)
            # Someone may have registered them again, or put them on hold, since the list was made.
            if row.held_because or row.forgotten_at or _expected(row, now):
                continue
            if goes == "all":
                forget_child(child=row, now=now)
            else:
                redact_child(child=row, now=now)
            hooks.child_forgotten.ask(row, goes == "all")
            done[goes] += 1
    words = {"all": "children (everything)", "notes": "children (everything except the signed waiver)"}
    Purge.objects.bulk_create(Purge(at=now, what=words[goes], count=count) for goes, count in done.items())
    return done


@transaction.atomic
def decide_request(
    *, request: FamilyRequest, grant: bool, reason: str, by: User, now: datetime, keep_waivers: bool = True
) -> FamilyRequest:
    """Answer a guardian who asked for a copy or to be forgotten.

    A copy is not made here: the mail carries a link that shows it for some days. Forgetting: 1 coming spots end and
    are offered to others, 2 children of another guardian stay with that one, 3 the others go, but for the signed waiver
    where ``keep_waivers`` says so, 4 the guardian goes, 5 one last note. What was typed under the same address and
    never confirmed goes along. Refused while a record is on hold or a child is on the floor.
    """
    FamilyRequest.objects.select_for_update(no_key=True).get(pk=request.pk)
    row = FamilyRequest.objects.select_related("guardian").get(pk=request.pk)
    if row.state != State.WAITING:
        words = gettext("This request was already answered: %(answer)s.") % {"answer": row.get_state_display()}
        raise Refusal.because("decided", words)
    if not grant and not reason.strip():
        raise Refusal.because("no reason", gettext("Enter a reason. It goes in the email."), "reason")
    row.state, row.reason = (State.DONE if grant else State.DECLINED), reason.strip()
    row.decided_at, row.decided_by = now, by
    row.link_counter += 1
    guardian = row.guardian
    if grant and row.what == What.ERASURE:
        _last_note(guardian, row, now)
        unconfirmed = Guardian.objects.filter(email__iexact=guardian.email, confirmed_at=None, forgotten_at=None)
        for one in [guardian, *(unconfirmed.exclude(pk=guardian.pk) if guardian.email else ())]:
            _erase(one, keep_waivers, now)
        Purge.objects.create(at=now, what="families, by request", count=1)
        return row
    row.save()
    note_to_guardian(
        kind=FAMILY_REQUEST,
        what=f"request {row.pk} {row.state}",
        guardian=guardian,
        summary=f"Answer to a data request: {row.get_what_display()}",
        now=now,
        about=[row],
        request_state=row.state,
    )
    return row


def _erase(guardian: Guardian, keep_waivers: bool, now: datetime) -> None:
    theirs = Child.objects.filter(guardianships__guardian=guardian)
    # In the order in which everyone else locks them: floors, clinics, children.
    hooks.lock_before_children.ask(list(theirs.values_list("pk", flat=True)))
    coming = Spot.objects.live().filter(Q(child__in=theirs) | Q(guardian=guardian), clinic__starts_at__gt=now)
    Clinic.objects.locked_in(coming.values_list("clinic_id", flat=True))
    children = list(theirs.select_for_update(no_key=True, of=("self",)))
    if any(child.held_because for child in children):
        raise Refusal.because(
            "on hold",
            gettext(
                "A record in this family is on hold for a court or insurer, so it can’t be deleted yet. "
                "End the hold first."
            ),
        )
    here = Spot.objects.held().filter(child__in=theirs, clinic__starts_at__lte=now, clinic__ends_at__gt=now)
    if here.exists() or any(hooks.on_the_floor.ask([child.pk for child in children], now)):
        raise Refusal.because(
            "on the floor",
            gettext(
                "A child in this family is at a clinic right now, and staff need their allergy and pickup information. "
                "Delete the family’s data after the clinic."
            ),
        )
    shared = {child.pk for child in children if child.guardianships.exclude(guardian=guardian).exists()}
    for spot in coming.select_related("clinic__center", "guardian"):
        # What another guardian asked for stays theirs; a spot whose asker is gone would have no one to hear of it.
        if spot.child_id not in shared or spot.guardian_id == guardian.pk:
            end_spot(spot=spot, because="the household was forgotten", now=now)
    forget_in_tables(children={child.pk for child in children} - shared, email=guardian.email)
    for child in children:
        if child.pk in shared:
            unlink_guardian(guardian=guardian, child=child, now=now)
            continue
        if keep_waivers and child.waivers.exists():
            redact_child(child=child, now=now)
            unlink_guardian(guardian=guardian, child=child, now=now)
            hooks.child_forgotten.ask(child, False)
        else:
            forget_child(child=child, now=now)
            hooks.child_forgotten.ask(child, True)
    forget_guardian(guardian=guardian)


def _last_note(guardian: Guardian, row: FamilyRequest, now: datetime) -> None:
    """About nothing, so that it is not forgotten with what goes."""
    if not guardian.email:
        return
    write_note(
        key=f"{FAMILY_REQUEST}:request {row.pk} done",
        kind=FAMILY_REQUEST,
        to_name=guardian.name,
        to_email=guardian.email,
        summary="Answer to a deletion request",
        due_at=now,
        language=guardian.language,
        step=f"forgotten {guardian.language}",
    )


def _expected(child: Child, now: datetime) -> bool:
    return Spot.objects.live().filter(child=child, clinic__ends_at__gt=now).exists()
