"""Opening and rewriting what is locked about a child."""

from collections.abc import Iterable
from datetime import datetime

from django.db import transaction

from people.models import CareReading, Child, User

__all__ = ["read_care", "write_care"]


@transaction.atomic
def read_care(*, children: Iterable[Child], by: User, where: str, now: datetime) -> int:
    """Write down that ``by`` reads what we know of these children; one line each, none where nothing is locked."""
    rows = [
        CareReading(child=child, by=by, by_name=by.name[:120], at=now, where=where[:60])
        for child in children
        if child.has_care
    ]
    CareReading.objects.bulk_create(rows)
    return len(rows)


@transaction.atomic
def write_care(*, child: Child, allergies: str, care_notes: str) -> Child:
    row = Child.objects.select_for_update(no_key=True, of=("self",)).get(pk=child.pk)
    row.allergies, row.care_notes = allergies.strip(), care_notes.strip()
    row.save(update_fields=["allergies", "care_notes", "has_care"])
    return row
