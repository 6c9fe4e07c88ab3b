"""Opening and rewriting what is locked about a child."""

from collections.abc import Iterable
from datetime import datetime

from django.db import transaction
from django.utils.crypto import salted_hmac
from django.utils.translation import gettext

from core.refusal import Refusal
from families.models import CareReading, Child
from people.models import User

__all__ = ["care_mark", "care_on_file", "read_care", "write_care"]


@transaction.atomic
def read_care(*, children: Iterable[Child], by: User, where: str, now: datetime) -> int:
    """Record that ``by`` reads what we know of these children: a line for each child of whom something is locked."""
    rows = [
        CareReading(child=child, by=by, by_name=by.name[:120], at=now, where=where[:60])
        for child in children
        if child.has_care
    ]
    CareReading.objects.bulk_create(rows)
    return len(rows)


def care_mark(child: Child) -> str:
    """A mark of what is written of the child, for a page that may change it; it tells nothing of the words."""
    return salted_hmac(
        "people.care", f"{child.allergies}\0{child.care_notes}\0{child.allergies_answer}", algorithm="sha256"
    ).hexdigest()[:32]


def care_on_file(child: Child) -> dict[str, str]:
    """What is written of the child, as the forms name it."""
    return {name: getattr(child, name) for name in ("allergies_answer", "allergies", "care_notes")}


@transaction.atomic
def write_care(
    *, child: Child, allergies: str, care_notes: str, allergies_answer: str = "", was: str | None = None
) -> Child:
    """Write both texts and the answer about allergies anew. ``was`` is the mark of what the page showed.

    Raises Refusal when something else is written by now: what is locked has no history, so one guardian's page that was
    left open would take the other's allergy away for good.
    """
    row = Child.objects.select_for_update(no_key=True, of=("self",)).get(pk=child.pk)
    if was is not None and was != care_mark(row):
        raise Refusal.because(
            "care changed",
            gettext(
                "Someone changed this after you opened the page. The current version is below. Combine the two and "
                "save again."
            ),
        )
    row.allergies, row.care_notes = allergies.strip(), care_notes.strip()
    row.allergies_answer = allergies_answer
    row.save(update_fields=["allergies", "allergies_answer", "care_notes", "has_care"])
    return row
