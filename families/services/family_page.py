"""The family's own page: its link, another guardian, a new mail address, and asking for a copy or to be forgotten."""

from datetime import date, datetime

from django.db import transaction
from django.db.models import F
from django.utils.translation import gettext

from clinics.formatting import clinic_words
from clinics.models import Clinic
from core import clock
from core.refusal import Refusal
from families.letters.families import (
    FAMILY_ADDRESS_CHANGED,
    FAMILY_ADDRESS_CONFIRM,
    FAMILY_LINK,
    SPOTS,
)
from families.letters.family_requests import FAMILY_REQUEST
from families.models import Child, FamilyRequest, Guardian, GuardianAddress, Guardianship, Spot
from families.services.family_facts import sign_for
from families.services.households import ChildFacts, HouseholdFacts, write_child
from families.services.notes_to_guardians import note_to_guardian
from families.services.registering import ask_spots
from families.services.spot_books import lock_clinic
from families.services.spots import answer_offer
from outbox.models import Note
from people.rules.ages import OLDEST_CHILD
from people.services.new_addresses import ask_address, use_address

__all__ = [
    "add_child",
    "ask_guardian_address",
    "ask_request",
    "confirm_guardian_address",
    "invite_guardian",
    "register_again",
    "revoke_family_links",
    "save_child",
    "send_family_link",
    "take_offer",
]


def send_family_link(*, guardian: Guardian, now: datetime) -> Note | None:
    """Mail the guardian the link to their page; at most one in a minute."""
    return note_to_guardian(
        kind=FAMILY_LINK,
        what=f"{now:%Y-%m-%dT%H:%M}",
        guardian=guardian,
        summary=f"Link to the family page, to {guardian}"[:200],
        now=now,
    )


@transaction.atomic
def revoke_family_links(*, guardian: Guardian, now: datetime) -> None:
    """Stop every link to the family page that was made before, and mail a fresh one."""
    row = Guardian.objects.select_for_update(no_key=True).get(pk=guardian.pk)
    row.link_counter += 1
    row.save(update_fields=["link_counter"])
    send_family_link(guardian=row, now=now)


@transaction.atomic
def take_offer(*, spot: Spot, now: datetime) -> Spot:
    """Take a spot that came free, and write a note that says so and puts it into the calendar."""
    waited = spot.answer_by is not None
    row = answer_offer(spot=spot, yes=True, now=now)
    if waited and spot.guardian is not None:
        note_to_guardian(
            kind=SPOTS,
            what=f"yes to spot {row.pk}",
            guardian=spot.guardian,
            summary=f"Spot accepted: {clinic_words(row.clinic)}",
            now=now,
            clinic=row.clinic,
        )
    return row


@transaction.atomic
def save_child(*, child: Child, facts: ChildFacts, now: datetime) -> Child:
    """Save name, day of birth, experience and school year. What is locked is saved by write_care.

    Raises Refusal "has spots" for another day of birth while a spot of the child's depends on it.
    """
    row = Child.objects.select_for_update(no_key=True).get(pk=child.pk)
    if facts.birth_date != row.birth_date:
        _refuse_birthday(facts.birth_date, now.astimezone(clock.home_zone()).date())
        if Spot.objects.live().filter(child=row, clinic__ends_at__gt=now).exists():
            raise Refusal.because("has spots", gettext("You can’t do this online. Please call us."), "birth_date")
    row.name, row.birth_date = facts.name, facts.birth_date
    row.experience, row.school_year = facts.experience, facts.school_year
    row.save()
    return row


def _refuse_birthday(born: date, today: date) -> None:
    if born > today:
        raise Refusal.because("not born", gettext("That date is in the future. Check the date of birth."), "birth_date")
    if today.year - born.year > OLDEST_CHILD:
        raise Refusal.because(
            "grown up", gettext("Check the date of birth. Our clinics are for ages 18 and under."), "birth_date"
        )


@transaction.atomic
def add_child(*, guardian: Guardian, facts: ChildFacts, household: HouseholdFacts, today: date, now: datetime) -> Child:
    """Add a child to a household that is here; the same name and day of birth again is the same child."""
    Guardian.objects.select_for_update(no_key=True).get(pk=guardian.pk)
    _refuse_birthday(facts.birth_date, today)
    ours = Child.objects.known().filter(guardianships__guardian=guardian, birth_date=facts.birth_date)
    known = ours.filter(name__iexact=facts.name).first()
    if known is not None:
        return known
    return write_child(facts=facts, household=household, guardian=guardian, today=today, now=now)


@transaction.atomic
def register_again(
    *,
    clinic: Clinic,
    guardian: Guardian,
    children: list[Child],
    unsigned: list[Child],
    typed_name: str,
    text_number: str,
    came_from: str | None,
    today: date,
    now: datetime,
) -> list[Spot]:
    """Ask for spots at one more clinic, all or nothing: 1 lock, 2 sign for those who need it, 3 ask for the spots.

    Raises Refusal "somebody else asked" for a child whose other guardian has a spot there: it says no more than that.
    """
    lock_clinic(clinic)
    others = Spot.objects.live().filter(clinic=clinic, child__in=children).exclude(guardian=guardian)
    if others.exists():
        raise Refusal.because("somebody else asked", gettext("You can’t do this online. Please call us."))
    if unsigned:
        sign_for(
            children=unsigned,
            guardian=guardian,
            typed_name=typed_name,
            text_number=text_number,
            came_from=came_from,
            today=today,
            now=now,
        )
    return ask_spots(clinic=clinic, guardian=guardian, children=children, now=now)


@transaction.atomic
def invite_guardian(*, child: Child, by: Guardian, name: str, email: str, now: datetime) -> None:
    """Invite another grown-up for the child, who confirms by the mailed link and sees only their own entries.

    It says nothing of whom we know already: for an address that is the child's guardian's nothing is written. Somebody
    who was invited before and has not answered is written to once more, since that mail may have got lost.
    """
    Child.objects.select_for_update(no_key=True).get(pk=child.pk)
    here = Guardianship.objects.filter(child=child, guardian__email__iexact=email).select_related("guardian")
    if here:
        if not any(one.guardian.confirmed for one in here):
            send_family_link(guardian=here[0].guardian, now=now)
        return
    known = Guardian.objects.confirmed_at_address(email).first()
    guardian = Guardian.objects.create(
        name=name,
        email=email,
        # Joined with the household known under the address, the language must not change on somebody else's word.
        language=known.language if known is not None else by.language,
        registered_at=now,
    )
    # Whom to call is each guardian's own; the new one is asked on their page.
    Guardianship.objects.create(guardian=guardian, child=child, emergency_name="", emergency_phone="")
    send_family_link(guardian=guardian, now=now)


@transaction.atomic
def ask_request(*, guardian: Guardian, what: str, now: datetime) -> FamilyRequest:
    """Ask for a copy of what we keep, or to be forgotten; a person decides. At most one of each can wait."""
    Guardian.objects.select_for_update(no_key=True).get(pk=guardian.pk)
    row, new = FamilyRequest.objects.get_or_create(
        guardian=guardian, what=what, state=FamilyRequest.State.WAITING, defaults={"asked_at": now}
    )
    if new:
        note_to_guardian(
            kind=FAMILY_REQUEST,
            what=f"request {row.pk} waiting",
            guardian=guardian,
            summary=f"Requested by {guardian}: {row.get_what_display()}"[:200],
            now=now,
            about=[row],
            request_state=row.state,
        )
    return row


@transaction.atomic
def ask_guardian_address(*, guardian: Guardian, email: str, now: datetime) -> GuardianAddress:
    """Keep the new address and ask it whether it is theirs; mail goes to the known one until it answers.

    Whether the address is another guardian's shows only when it answers, so nobody learns here who is with us.
    """
    Guardian.objects.select_for_update(no_key=True).get(pk=guardian.pk)
    row, _ = GuardianAddress.objects.get_or_create(
        guardian=guardian, confirmed_at=None, defaults={"email": email, "asked_at": now}
    )
    ask_address(
        row,
        kind=FAMILY_ADDRESS_CONFIRM,
        owner=guardian,
        email=email,
        key=f"guardian change {row.pk}",
        now=now,
        language=guardian.language,
    )
    return row


@transaction.atomic
def confirm_guardian_address(*, change: GuardianAddress, now: datetime) -> GuardianAddress:
    """Record that the new address answered: 1 lock, 2 write it, 3 turn mail that has not gone out, 4 tell the old one,
    5 stop links in the old mailbox, those to a copy too, and mail the new address one of its own.

    Step 5 is there since somebody else may read the old mailbox. Twice is harmless. Raises Refusal "taken" when a
    confirmed guardian has the address.
    """
    row = GuardianAddress.objects.select_for_update(no_key=True).get(pk=change.pk)
    if row.confirmed_at is not None:
        return row
    guardian = Guardian.objects.select_for_update(no_key=True).get(pk=row.guardian_id)
    had = guardian.email
    use_address(
        row,
        kind=FAMILY_ADDRESS_CHANGED,
        owner=guardian,
        taken=gettext("Someone else already uses that email."),
        key=f"guardian change {row.pk}",
        now=now,
        language=guardian.language,
    )
    if had:
        FamilyRequest.objects.filter(guardian=guardian).update(link_counter=F("link_counter") + 1)
        revoke_family_links(guardian=guardian, now=now)
    return row
