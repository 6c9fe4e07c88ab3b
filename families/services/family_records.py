"""What the office records for a family: pickup people, another guardian, a waiver on paper."""

from datetime import date, datetime

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from core.refusal import Refusal
from families.models import Child, Guardian, Guardianship, PickupPerson, Waiver, WaiverText
from families.services.households import sign_waiver
from families.services.looks import forget_looks, photo_text
from people.models import User
from people.rules.names import same_name

__all__ = ["add_guardian", "add_pickup_person", "end_pickup_person", "keep_away", "record_paper_waiver"]


@transaction.atomic
def add_pickup_person(*, child: Child, name: str, phone: str, relation: str, by: User, now: datetime) -> PickupPerson:
    """Let someone take the child home. Raises Refusal when the same name must not pick the child up."""
    Child.objects.select_for_update(no_key=True, of=("self",)).get(pk=child.pk)
    same = [one for one in PickupPerson.objects.in_force().filter(child=child) if same_name(one.name, name)]
    if any(one.must_not for one in same):
        raise Refusal.because(
            "kept away",
            _("%(name)s is listed as “must not pick up” for this child. Remove that first if it no longer applies.")
            % {"name": name},
            "name",
        )
    if same:
        return same[0]
    return PickupPerson.objects.create(
        child=child, name=name, phone=phone, relation=relation, recorded_by=by, recorded_at=now
    )


@transaction.atomic
def keep_away(
    *,
    child: Child,
    name: str,
    relation: str,
    seen: str,
    by: User,
    now: datetime,
    description: str = "",
    photo: bytes | None = None,
) -> PickupPerson:
    """Record someone to whom the child is not handed; a permission under the same name ends with it.

    ``photo`` is a JPEG of ours, small enough for the lead's phone.
    """
    if not seen.strip():
        raise Refusal.because("not seen", _("Enter the reason, such as a court order and its date."), "seen")
    Child.objects.select_for_update(no_key=True, of=("self",)).get(pk=child.pk)
    may = PickupPerson.objects.in_force().filter(child=child, must_not=False)
    may.filter(pk__in=[one.pk for one in may if same_name(one.name, name)]).update(ended_at=now)
    return PickupPerson.objects.create(
        child=child,
        name=name,
        relation=relation,
        must_not=True,
        seen=seen.strip(),
        description=description.strip(),
        photo=photo_text(photo),
        has_photo=bool(photo),
        recorded_by=by,
        recorded_at=now,
    )


@transaction.atomic
def end_pickup_person(*, pickup_person: PickupPerson, now: datetime) -> PickupPerson:
    """End what the record says of this person. Twice is harmless."""
    row = PickupPerson.objects.select_for_update(no_key=True, of=("self",)).get(pk=pickup_person.pk)
    if row.ended_at is None:
        row.ended_at = now
        forget_looks(row)
        row.save(update_fields=["ended_at", "description", "photo", "has_photo"])
    return row


@transaction.atomic
def add_guardian(
    *,
    child: Child,
    name: str,
    email: str,
    phone: str,
    language: str,
    emergency_name: str,
    emergency_phone: str,
    seen: bool,
    now: datetime,
) -> Guardian:
    """Add a further guardian: the confirmed one of that address, or else a new one.

    ``seen`` says that the office met the person.
    """
    known = Guardian.objects.select_for_update(no_key=True).confirmed_at_address(email).first() if email else None
    guardian = known or Guardian.objects.create(
        name=name,
        email=email,
        phone=phone,
        language=language,
        registered_at=now,
        confirmed_at=now if seen else None,
    )
    try:
        with transaction.atomic():
            Guardianship.objects.create(
                guardian=guardian, child=child, emergency_name=emergency_name, emergency_phone=emergency_phone
            )
    except IntegrityError as problem:
        words = _("%(name)s is already a guardian of this child.") % {"name": guardian}
        raise Refusal.because("here already", words, "email") from problem
    return guardian


@transaction.atomic
def record_paper_waiver(
    *,
    child: Child,
    guardian: Guardian,
    text: WaiverText,
    typed_name: str,
    signed_on: date,
    by: User,
    today: date,
    now: datetime,
) -> Waiver:
    """Record a signature on paper that ``by`` has seen; it is current from the day it was signed."""
    if signed_on > today:
        raise Refusal.because("not yet", _("That date is in the future. Enter the date on the paper."), "signed_on")
    if not Guardianship.objects.filter(child=child, guardian=guardian).exists():
        raise Refusal.because(
            "no guardian", _("Only a guardian of this child can sign. Choose one of the child’s guardians."), "guardian"
        )
    return sign_waiver(
        child=child,
        guardian=guardian,
        text=text,
        typed_name=typed_name,
        paper_seen_by=by,
        today=signed_on,
        now=now,
    )
