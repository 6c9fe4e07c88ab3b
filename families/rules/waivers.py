"""Whether a child's waiver holds on a day, and until when a signature made today would."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from people.rules.evidence import expires_on

__all__ = ["Signature", "WaiverStanding", "photo_allowed", "signed_until", "waiver_on"]


@dataclass(frozen=True)
class Signature:
    """``withdrawn_on``: the day from which it no longer holds; the whole of that day counts as withdrawn."""

    version: int
    signed_on: date
    until: date
    withdrawn_on: date | None = None


@dataclass(frozen=True)
class WaiverStanding:
    """``state`` is one of "current", "expired", "older text", "withdrawn", "missing"; ``until`` of the best one."""

    state: str
    until: date | None = None

    @property
    def ok(self) -> bool:
        return self.state == "current"


def signed_until(signed_on: date, months: int, season_ends: date | None) -> date:
    """The last day on which a signature is current: after ``months``, or on the season's last day if that is earlier.

    Raises ValueError when the season is over, since such a signature would hold on no day.
    """
    last = expires_on(signed_on, months)
    assert last is not None
    if season_ends is not None:
        if season_ends < signed_on:
            raise ValueError("The season of this text is over, so it can't be signed. A new version is needed.")
        last = min(last, season_ends)
    return last


def waiver_on(signatures: Iterable[Signature], day: date, least_version: int = 0) -> WaiverStanding:
    """The standing of the best signature on ``day``; signatures under a version below ``least_version`` don't hold.

    Where none holds, the reason is the one that is nearest to holding: expired, then an older text, then withdrawn.
    A signature made after ``day`` counts too: a clinic that is over is not asked about, and one to come is signed for
    before it.
    """
    found: list[tuple[int, date, str]] = []
    for one in signatures:
        if one.withdrawn_on is not None and one.withdrawn_on <= day:
            found.append((1, one.until, "withdrawn"))
        elif one.version < least_version:
            found.append((2, one.until, "older text"))
        elif one.until < day:
            found.append((3, one.until, "expired"))
        else:
            found.append((4, one.until, "current"))
    if not found:
        return WaiverStanding("missing")
    _, until, state = max(found)
    return WaiverStanding(state, until)


def photo_allowed(latest_of_each_guardian: Iterable[bool]) -> bool:
    """Whether someone said yes and no one said no; silence is no."""
    answers = list(latest_of_each_guardian)
    return bool(answers) and all(answers)
