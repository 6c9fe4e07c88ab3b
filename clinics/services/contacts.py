"""Archiving a center's contact, and restoring one."""

from django.db import IntegrityError, transaction
from django.utils.translation import gettext

from clinics.models import CenterContact
from core.refusal import Refusal

__all__ = ["retire_contact", "take_up_contact"]


@transaction.atomic
def retire_contact(*, contact: CenterContact) -> None:
    """Archive a contact; the main contact answers in their place. Doing it twice is harmless."""
    CenterContact.objects.filter(pk=contact.pk).update(active=False)


def take_up_contact(*, contact: CenterContact) -> None:
    """Make an archived contact active again. Raises Refusal "taken" when someone else has taken over meanwhile."""
    try:
        with transaction.atomic():
            CenterContact.objects.filter(pk=contact.pk).update(active=True)
    except IntegrityError as problem:
        words = gettext("Someone else now handles what %(name)s did. Edit or archive that contact first.")
        raise Refusal.because("taken", words % {"name": contact.name}) from problem
