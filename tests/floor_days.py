"""Entries as phones send them."""

import uuid
from datetime import datetime
from types import SimpleNamespace

from clinics.models import Clinic
from core import clock
from floor.models import FloorPhone
from floor.services.syncing import Received, receive
from outbox.models import Note


def entry(seq: int, kind: str, at: datetime, **facts: object) -> dict[str, object]:
    return {"id": str(uuid.uuid4()), "seq": seq, "at": at.isoformat(), "kind": kind, "facts": facts}


def clinic_of_today() -> Clinic:
    """The demo's clinic of today: its lead has an email with the link to the floor page."""
    number = Note.objects.get(facts__step="floor").number_of(Clinic)
    assert number is not None
    return Clinic.objects.get(pk=number)


def send(
    floor: SimpleNamespace,
    *entries: object,
    now: datetime | None = None,
    phone: FloorPhone | None = None,
    phone_now: datetime | None = None,
) -> Received:
    moment = now or clock.now()
    return receive(phone=phone or floor.phone, phone_now=phone_now or moment, actions=list(entries), now=moment)
