"""Notes to guardians, each in their own language."""

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.db.models import Model

from clinics.models import Clinic
from families.models import Guardian
from outbox.models import Note
from outbox.services.writing import write_note

__all__ = ["note_to_guardian"]


def note_to_guardian(
    *,
    kind: str,
    what: str,
    guardian: Guardian,
    summary: str,
    now: datetime,
    clinic: Clinic | None = None,
    about: Iterable[Model] = (),
    **facts: Any,
) -> Note | None:
    """Write a note to a guardian. ``what`` names the row that it speaks of, such as "spot 7", and never a child.

    Returns None, and writes nothing, for a guardian without an email address: the office calls them.
    """
    if not guardian.email:
        return None
    revision = clinic.revision if clinic is not None else None
    return write_note(
        key=f"{kind}:guardian {guardian.pk}:{what}" + (f":r{revision}" if clinic is not None else ""),
        kind=kind,
        to_name=guardian.name,
        to_email=guardian.email,
        language=guardian.language,
        summary=summary,
        due_at=now,
        about=[guardian, clinic, *about],
        revision=revision,
        **facts,
    )
