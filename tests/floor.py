"""Entries as phones send them."""

import uuid
from datetime import datetime
from types import SimpleNamespace

from clinics.models import FloorPhone
from config import clock
from scheduling.services.floor.syncing import Received, receive


def entry(seq: int, kind: str, at: datetime, **facts: object) -> dict[str, object]:
    return {"id": str(uuid.uuid4()), "seq": seq, "at": at.isoformat(), "kind": kind, "facts": facts}


def send(
    floor: SimpleNamespace,
    *entries: object,
    now: datetime | None = None,
    phone: FloorPhone | None = None,
    phone_now: datetime | None = None,
) -> Received:
    moment = now or clock.now()
    return receive(phone=phone or floor.phone, phone_now=phone_now or moment, actions=list(entries), now=moment)
