"""Whether families can register for a clinic by themselves."""

from datetime import datetime

from django.db import transaction

from clinics.models import Clinic, Status
from core.refusal import Refusal
from families.services.place_books import lock_clinic

__all__ = ["take_families"]


@transaction.atomic
def take_families(*, clinic: Clinic, open_it: bool, now: datetime) -> Clinic:
    """Open or stop registering on the public page. Places that children have stay."""
    row = lock_clinic(clinic)
    if row.status == Status.CANCELLED:
        raise Refusal.because("cancelled", "This clinic is cancelled, so nobody can register for it.")
    if row.starts_at <= now:
        raise Refusal.because("too late", "This clinic has begun, so nobody can register for it any more.")
    if row.takes_families != open_it:
        row.takes_families = open_it
        row.save(update_fields=["takes_families"])
    return row
