"""Forgetting children and guardians, and the history of them; what is left counts and names no one."""

from datetime import date, datetime

from django.db import transaction
from django.db.models import Model
from django.utils.translation import gettext

from core.merge import history_of
from core.refusal import Refusal
from families.models import (
    CareReading,
    Child,
    FamilyRequest,
    Guardian,
    GuardianAddress,
    Guardianship,
    PhotoAnswer,
    PickupPerson,
    Retention,
    Waiver,
)
from families.services.households import answer_photo
from outbox.services.subjects import forget_about
from people.models import User

__all__ = [
    "forget_child",
    "forget_guardian",
    "forget_history",
    "hold_child",
    "redact_child",
    "redact_guardian",
    "set_retention",
    "unlink_guardian",
]


@transaction.atomic
def redact_child(*, child: Child, now: datetime) -> None:
    """Delete allergies, notes, pickup people, emergency contacts, readings and photo answers, and their history."""
    row = Child.objects.select_for_update(no_key=True).get(pk=child.pk)
    row.allergies = row.allergies_answer = row.care_notes = row.school_year = ""
    row.experience, row.redacted_at = "new", now
    row.save()
    PickupPerson.objects.filter(child=row).delete()
    PhotoAnswer.objects.filter(child=row).delete()
    CareReading.objects.filter(child=row).delete()
    Guardianship.objects.filter(child=row).update(emergency_name="", emergency_phone="")
    for model in (PickupPerson, PhotoAnswer, Guardianship):
        forget_history(model, child_id=row.pk)


@transaction.atomic
def forget_child(*, child: Child, now: datetime) -> None:
    """Delete everything that names the child. The row stays without a name, with the year of birth, for counting."""
    redact_child(child=child, now=now)
    row = Child.objects.select_for_update(no_key=True).get(pk=child.pk)
    guardians = list(Guardian.objects.filter(guardianships__child=row))
    Guardianship.objects.filter(child=row).delete()
    Waiver.objects.filter(child=row).delete()
    row.name, row.birth_date, row.held_because, row.forgotten_at = "", date(row.birth_date.year, 1, 1), "", now
    row.save()
    for model in (Waiver, Guardianship):
        forget_history(model, child_id=row.pk)
    forget_history(Child, pgh_obj_id=row.pk)
    for guardian in guardians:
        if not guardian.guardianships.exists():
            forget_guardian(guardian=guardian)


@transaction.atomic
def unlink_guardian(*, guardian: Guardian, child: Child, now: datetime) -> None:
    """Delete what one guardian said of a child that stays with another guardian.

    Their no to photos stays, without whose it was: forgetting must not turn it into a yes.
    """
    answer = PhotoAnswer.objects.filter(child=child, guardian=guardian).first()
    if answer is not None and not answer.allowed:
        answer_photo(child=child, guardian=None, allowed=False, now=now)
    PickupPerson.objects.filter(child=child, named_by=guardian).delete()
    PhotoAnswer.objects.filter(child=child, guardian=guardian).delete()
    Guardianship.objects.filter(child=child, guardian=guardian).delete()
    forget_history(PickupPerson, child_id=child.pk, named_by_id=guardian.pk)
    for model in (PhotoAnswer, Guardianship):
        forget_history(model, child_id=child.pk, guardian_id=guardian.pk)


@transaction.atomic
def forget_guardian(*, guardian: Guardian) -> None:
    """Delete the guardian's row, the notes to them and their history. Signatures stay with the child's waiver."""
    pk = guardian.pk
    forget_about(row=guardian)
    Guardian.objects.filter(pk=pk).delete()
    forget_history(Guardian, pgh_obj_id=pk)
    for model in (PickupPerson, PhotoAnswer, Guardianship):
        forget_history(model, **{"named_by_id" if model is PickupPerson else "guardian_id": pk})


@transaction.atomic
def redact_guardian(*, guardian: Guardian, now: datetime) -> None:
    """Delete name, email and phone, and their history, and stop every link. The row stays beside the waiver.

    Who signed is still read from the name typed under the waiver.
    """
    row = Guardian.objects.select_for_update(no_key=True).get(pk=guardian.pk)
    row.name = row.email = row.phone = ""
    row.reminders, row.forgotten_at = False, now
    row.link_counter += 1
    row.save()
    GuardianAddress.objects.filter(guardian=row).delete()
    FamilyRequest.objects.filter(guardian=row).delete()
    forget_history(Guardian, pgh_obj_id=row.pk)


@transaction.atomic
def hold_child(*, child: Child, because: str) -> Child:
    """Keep the record whatever the rule says; with no reason, let the rule have it again.

    Raises Refusal "forgotten" when nothing is left to keep.
    """
    row = Child.objects.select_for_update(no_key=True).get(pk=child.pk)
    if row.forgotten_at is not None:
        words = gettext("This record has already been deleted, so there’s nothing to put on hold.")
        raise Refusal.because("forgotten", words)
    row.held_because = because.strip()
    row.save(update_fields=["held_because"])
    return row


@transaction.atomic
def set_retention(*, rule: Retention, by: User, now: datetime) -> Retention:
    """Save the rule that says when records go."""
    rule.pk, rule.changed_by, rule.changed_at = 1, by, now
    rule.save()
    return rule


def forget_history(model: type[Model], **which: object) -> None:
    """Delete what the triggers wrote of a table's rows; ``which`` chooses by the fields of the history."""
    history_of(model)._default_manager.filter(**which).delete()
