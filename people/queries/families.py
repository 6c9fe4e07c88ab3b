"""Waivers of many children at once."""

from collections.abc import Iterable
from datetime import date
from zoneinfo import ZoneInfo

from people.models import Waiver
from people.rules.waivers import Signature, WaiverStanding, waiver_on
from people.services.families import least_version

__all__ = ["WaiverBook", "open_waivers"]


class WaiverBook:
    """Signatures of some children, asked of a day. Two queries to open, none to ask."""

    def __init__(self, signatures: dict[int, list[Signature]], least: int) -> None:
        self._signatures = signatures
        self._least = least

    def on(self, child: int, day: date) -> WaiverStanding:
        return waiver_on(self._signatures.get(child, []), day, self._least)


def open_waivers(children: Iterable[int], zone: ZoneInfo) -> WaiverBook:
    """``zone`` says on which day a signature was withdrawn."""
    found: dict[int, list[Signature]] = {}
    for row in Waiver.objects.filter(child__in=set(children)).select_related("text"):
        withdrawn = row.withdrawn_at.astimezone(zone).date() if row.withdrawn_at else None
        found.setdefault(row.child_id, []).append(Signature(row.text.version, row.signed_on, row.until, withdrawn))
    return WaiverBook(found, least_version())
