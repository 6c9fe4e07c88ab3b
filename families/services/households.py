"""Households as guardians write them: new ones, signatures, photos, and joining what is one household."""

from dataclasses import dataclass, field
from datetime import date, datetime

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from core.refusal import Reason, Refusal
from families.models import (
    Child,
    Guardian,
    Guardianship,
    PhotoAnswer,
    PickupPerson,
    Waiver,
    WaiverText,
)
from families.rules.waivers import signed_until
from people.models import User
from people.rules.ages import OLDEST_CHILD

__all__ = [
    "ChildFacts",
    "HouseholdFacts",
    "PickupPersonFacts",
    "answer_photo",
    "confirm_guardian",
    "sign_waiver",
    "withdraw_waiver",
    "write_child",
    "write_household",
]


@dataclass(frozen=True)
class PickupPersonFacts:
    name: str
    phone: str = ""
    relation: str = ""


@dataclass(frozen=True)
class ChildFacts:
    name: str
    birth_date: date
    experience: str = "new"
    school_year: str = ""
    allergies: str = ""
    care_notes: str = ""
    allergies_answer: str = ""


@dataclass(frozen=True)
class HouseholdFacts:
    """What one sending of the public form says. ``signed`` is the typed name under the waiver ``text``."""

    guardian_name: str
    emergency_name: str
    emergency_phone: str
    email: str = ""
    phone: str = ""
    language: str = "en"
    children: list[ChildFacts] = field(default_factory=list)
    pickup_people: list[PickupPersonFacts] = field(default_factory=list)
    photos: bool = False
    signed: str = ""
    text: WaiverText | None = None
    came_from: str | None = None


@transaction.atomic
def write_household(*, facts: HouseholdFacts, today: date, now: datetime) -> tuple[Guardian, list[Child]]:
    """Write a guardian whose address is not confirmed yet, with children, pickup people, signatures
    and the photo answer.

    What was here before under the same address is neither read nor touched: see confirm_guardian.
    """
    _check(facts, today)
    guardian = Guardian.objects.create(
        name=facts.guardian_name,
        email=facts.email,
        phone=facts.phone,
        language=facts.language,
        registered_at=now,
    )
    children = [
        write_child(facts=one, household=facts, guardian=guardian, today=today, now=now) for one in facts.children
    ]
    return guardian, children


@transaction.atomic
def write_child(
    *, facts: ChildFacts, household: HouseholdFacts, guardian: Guardian, today: date, now: datetime
) -> Child:
    """Write one child of a guardian, with the household's emergency contact, pickup people, photo answer
    and signature.
    """
    child = Child.objects.create(
        name=facts.name,
        birth_date=facts.birth_date,
        experience=facts.experience,
        school_year=facts.school_year,
        allergies=facts.allergies,
        allergies_answer=facts.allergies_answer,
        care_notes=facts.care_notes,
        registered_at=now,
    )
    Guardianship.objects.create(
        guardian=guardian,
        child=child,
        emergency_name=household.emergency_name,
        emergency_phone=household.emergency_phone,
    )
    PickupPerson.objects.bulk_create(
        PickupPerson(
            child=child,
            name=one.name,
            phone=one.phone,
            relation=one.relation,
            named_by=guardian,
            recorded_at=now,
        )
        for one in household.pickup_people
    )
    answer_photo(child=child, guardian=guardian, allowed=household.photos, now=now)
    if household.text is not None and household.signed:
        sign_waiver(
            child=child,
            guardian=guardian,
            text=household.text,
            typed_name=household.signed,
            came_from=household.came_from,
            today=today,
            now=now,
        )
    return child


@transaction.atomic
def sign_waiver(
    *,
    child: Child,
    guardian: Guardian | None,
    text: WaiverText,
    typed_name: str,
    today: date,
    now: datetime,
    came_from: str | None = None,
    paper_seen_by: User | None = None,
    door_entry: str | None = None,
    signed_where: str = "",
) -> Waiver:
    """Sign a published text. A signature on paper names who saw it; ``today`` is the day it was signed.

    ``door_entry`` is the number of the entry by which it was signed on a lead's phone, ``signed_where`` says whose.
    """
    if text.published_at is None:
        raise Refusal.because("not published", _("This waiver isn’t published yet, so no one can sign it."))
    if not typed_name.strip():
        raise Refusal.because("not signed", _("Type your name below the waiver to sign it."), "signed")
    try:
        until = signed_until(today, text.months, text.season_ends)
    except ValueError as problem:
        words = _("This waiver’s season is over, so no one can sign it. A new version is needed.")
        raise Refusal.because("season over", words, "signed") from problem
    return Waiver.objects.create(
        child=child,
        guardian=guardian,
        text=text,
        text_hash=text.hash,
        typed_name=typed_name.strip(),
        signed_at=now,
        signed_on=today,
        until=until,
        came_from=came_from,
        paper_seen_by=paper_seen_by,
        door_entry=door_entry,
        signed_where=signed_where[:160],
    )


@transaction.atomic
def withdraw_waiver(*, waiver: Waiver, by: str, now: datetime) -> Waiver:
    """Take a signature back; taking it back again changes nothing."""
    row = Waiver.objects.select_for_update(no_key=True).get(pk=waiver.pk)
    if row.withdrawn_at is None:
        row.withdrawn_at, row.withdrawn_by = now, by
        row.save(update_fields=["withdrawn_at", "withdrawn_by"])
    return row


def answer_photo(*, child: Child, guardian: Guardian | None, allowed: bool, now: datetime) -> PhotoAnswer:
    """Record whether photos of the child are allowed."""
    return PhotoAnswer.objects.create(child=child, guardian=guardian, allowed=allowed, answered_at=now)


@transaction.atomic
def confirm_guardian(*, guardian: Guardian, now: datetime) -> Guardian | None:
    """Record that the link mailed to the address was used.

    Returns the guardian who was confirmed under this address before, with whom the caller joins the new household;
    None when this guardian is now the one of the address. Confirming again changes nothing.
    """
    row = Guardian.objects.select_for_update(no_key=True).get(pk=guardian.pk)
    if row.confirmed:
        return None
    known = Guardian.objects.select_for_update(no_key=True).confirmed_at_address(row.email)
    first = known.first() if row.email else None
    if first is not None:
        return first
    row.confirmed_at = now
    try:
        with transaction.atomic():
            row.save(update_fields=["confirmed_at"])
    except IntegrityError:
        return Guardian.objects.filter(email__iexact=row.email, confirmed_at__isnull=False).first()
    return None


def _check(facts: HouseholdFacts, today: date) -> None:
    reasons = []
    if not facts.email and not facts.phone:
        reasons.append(Reason("no way to reach", _("Enter an email or a phone number."), "email"))
    if not facts.children:
        reasons.append(Reason("no children", _("Enter at least one child’s name and date of birth.")))
    for place, one in enumerate(facts.children):
        field = f"children-{place}-birth_date"
        if one.birth_date > today:
            reasons.append(Reason("not born", _("That date is in the future. Check the date of birth."), field))
        elif today.year - one.birth_date.year > OLDEST_CHILD:
            words = _("Check the date of birth: a person born in %(year)s is an adult.")
            reasons.append(Reason("grown up", words % {"year": one.birth_date.year}, field))
    if reasons:
        raise Refusal(*reasons)
