"""Retiring a center's contact, and taking one up again."""

from django.db import IntegrityError, transaction

from clinics.models import CenterContact
from core.refusal import Refusal

__all__ = ["retire_contact", "take_up_contact"]


@transaction.atomic
def retire_contact(*, contact: CenterContact) -> None:
    """Retire a contact; the main contact answers in their place. Doing it twice is harmless."""
    CenterContact.objects.filter(pk=contact.pk).update(active=False)


def take_up_contact(*, contact: CenterContact) -> None:
    """Make a retired contact active again. Raises Refusal "taken" when somebody else has taken over meanwhile."""
    try:
        with transaction.atomic():
            CenterContact.objects.filter(pk=contact.pk).update(active=True)
    except IntegrityError as problem:
        raise Refusal.because(
            "taken", f"Somebody else has taken over what {contact} answered. Change or retire that contact first."
        ) from problem
