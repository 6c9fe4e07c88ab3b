"""Whether families can register for a clinic on the public page."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext

from clinics.models import Clinic, Status
from core.refusal import Refusal
from families.services.spot_books import lock_clinic

__all__ = ["take_families"]


@transaction.atomic
def take_families(*, clinic: Clinic, open_it: bool, now: datetime) -> Clinic:
    """Open or stop registering on the public page. Spots that children have stay."""
    row = lock_clinic(clinic)
    if row.status == Status.CANCELLED:
        raise Refusal.because("cancelled", gettext("This clinic is cancelled, so registration is closed."))
    if row.starts_at <= now:
        raise Refusal.because("too late", gettext("This clinic has started, so registration is closed."))
    if row.takes_families != open_it:
        row.takes_families = open_it
        row.save(update_fields=["takes_families"])
    return row
