"""What a guardian changes on the family's own page, and nothing that is another guardian's."""

from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext

from core.refusal import Refusal
from families.models import Child, Guardian, Guardianship, PickupPerson, WaiverText
from families.queries.waiver_texts import current_text
from families.services.households import PickupPersonFacts, sign_waiver
from outbox.services.subjects import turn_language

__all__ = [
    "add_pickup_person",
    "save_emergency",
    "save_guardian",
    "save_language",
    "save_reminders",
    "sign_for",
    "text_read",
]


@transaction.atomic
def save_guardian(*, guardian: Guardian, name: str, phone: str) -> Guardian:
    """Write name and telephone. Raises Refusal "no way to reach" when neither telephone nor mail would be left."""
    row = Guardian.objects.select_for_update(no_key=True).get(pk=guardian.pk)
    if not phone and not row.email:
        raise Refusal.because("no way to reach", gettext("Enter an email or a phone number."), "phone")
    row.name, row.phone = name, phone
    row.save(update_fields=["name", "phone"])
    return row


@transaction.atomic
def save_language(*, guardian: Guardian, language: str) -> None:
    """Save the guardian's language, and write what has not gone out to them yet in it too."""
    guardian.language = language
    guardian.save(update_fields=["language"])
    turn_language(about=guardian, language=language)


def save_reminders(*, guardian: Guardian, wanted: bool) -> None:
    """Save whether the guardian wants reminders."""
    guardian.reminders = wanted
    guardian.save(update_fields=["reminders"])


@transaction.atomic
def save_emergency(*, child: Child, guardian: Guardian, name: str, phone: str) -> None:
    """Save whom this guardian wants called. Another guardian's contact stays as it is."""
    row = Guardianship.objects.select_for_update(no_key=True).get(child=child, guardian=guardian)
    row.emergency_name, row.emergency_phone = name, phone
    row.save()


@transaction.atomic
def add_pickup_person(*, child: Child, guardian: Guardian, facts: PickupPersonFacts, now: datetime) -> PickupPerson:
    """Let somebody take the child home, in this guardian's name; the same name again is the same person."""
    Child.objects.select_for_update(no_key=True).get(pk=child.pk)
    ours = PickupPerson.objects.in_force().filter(child=child, named_by=guardian)
    known = ours.filter(name__iexact=facts.name).first()
    if known is not None:
        known.phone, known.relation = facts.phone or known.phone, facts.relation or known.relation
        known.save()
        return known
    return PickupPerson.objects.create(
        child=child,
        name=facts.name,
        phone=facts.phone,
        relation=facts.relation,
        named_by=guardian,
        recorded_at=now,
    )


def text_read(guardian: Guardian, number: str) -> WaiverText:
    """The text in force. Raises Refusal when the page on which the guardian signed showed another ``number``."""
    text = current_text(guardian.language)
    if text is None:
        raise Refusal.because("not published", gettext("The waiver isn’t ready yet. We’ll email you when it is."))
    if number != str(text.pk):
        raise Refusal.because(
            "text changed",
            gettext("The waiver changed after you opened this page. Please read it and sign again."),
            "signed",
        )
    return text


@transaction.atomic
def sign_for(
    *,
    children: list[Child],
    guardian: Guardian,
    typed_name: str,
    text_number: str,
    came_from: str | None,
    today: date,
    now: datetime,
) -> None:
    """Sign the text in force, which the guardian has read, with one typed name for each of the children."""
    text = text_read(guardian, text_number)
    for child in children:
        sign_waiver(
            child=child,
            guardian=guardian,
            text=text,
            typed_name=typed_name,
            came_from=came_from,
            today=today,
            now=now,
        )
