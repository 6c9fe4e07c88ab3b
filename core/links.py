"""Signed links: one purpose, one subject, an expiry, and a counter that revokes.

A token holds the subject's number, the subject's counter when the link was made, and the second it expires.
Its signature is salted with the purpose, so a link made for one question answers no other. Raising the
subject's counter revokes every link made before. Signatures are compared in constant time by
``django.core.signing``.
"""

import logging
from dataclasses import dataclass
from datetime import UTC, datetime

import redis
from django.conf import settings
from django.core import signing
from django.core.cache import cache
from django.urls import reverse

__all__ = [
    "AlteredLink",
    "ExpiredLink",
    "LinkFacts",
    "LinkProblem",
    "RevokedLink",
    "TooManyTries",
    "address",
    "host",
    "make",
    "read",
]

log = logging.getLogger(__name__)

TRIES_PER_WINDOW = 30
WINDOW_SECONDS = 300


class LinkProblem(ValueError):
    """A link that can't be used; ``code`` is stable, the text is for people."""

    code = "problem"


class AlteredLink(LinkProblem):
    code = "altered"


class ExpiredLink(LinkProblem):
    code = "expired"


class RevokedLink(LinkProblem):
    code = "revoked"


class TooManyTries(LinkProblem):
    code = "too many tries"


@dataclass(frozen=True)
class LinkFacts:
    subject: int
    counter: int
    expires_at: datetime

    def check_counter(self, counter: int) -> None:
        """Raise RevokedLink when the subject's counter has moved on since this link was made."""
        if counter != self.counter:
            raise RevokedLink("This link has been replaced.")


def make(purpose: str, *, subject: int, counter: int, expires_at: datetime) -> str:
    facts = [subject, counter, int(expires_at.timestamp())]
    # No time of making in it: the same note written again carries the same link.
    return signing.Signer(salt=f"whistlestop.link.{purpose}").sign_object(facts)


def read(purpose: str, token: str, *, now: datetime, caller: str = "") -> LinkFacts:
    """Read the facts of a token. Raises LinkProblem. ``caller`` (an address) is slowed down after many altered links.

    An altered token costs the caller one try; a good one costs nothing, so that a gym full of phones behind one
    address is never locked out by using real links.
    """
    if caller and _tries(caller) >= TRIES_PER_WINDOW:
        raise TooManyTries("Too many bad links were opened from your connection. Wait five minutes.")
    try:
        if len(token) > 400:
            raise signing.BadSignature
        subject, counter, expires = signing.Signer(salt=f"whistlestop.link.{purpose}").unsign_object(token)
    except (signing.BadSignature, ValueError, TypeError) as problem:
        if caller:
            _count_try(caller)
        raise AlteredLink("This link is incomplete.") from problem
    facts = LinkFacts(subject, counter, datetime.fromtimestamp(expires, UTC))
    if now >= facts.expires_at:
        raise ExpiredLink("This link has expired.")
    return facts


def _tries(caller: str) -> int:
    try:
        return int(cache.get(f"link-tries:{caller}", 0))
    except redis.RedisError:
        # A volunteer must be able to answer while Redis is away; signatures still hold without the throttle.
        log.warning("Redis is away: altered links are not being counted.")
        return 0


def _count_try(caller: str) -> None:
    key = f"link-tries:{caller}"
    try:
        if not cache.add(key, 1, WINDOW_SECONDS):
            cache.incr(key)
    except (redis.RedisError, ValueError):
        # ValueError: the window closed between the two calls, so there is nothing left to count.
        log.warning("An altered link from %s could not be counted.", caller)


def host() -> str:
    """The site's name without scheme and port, for identifiers that mail and calendars keep."""
    return settings.SITE_URL.split("//", 1)[-1].split("/")[0].split(":")[0]


def address(route: str, token: str) -> str:
    """The full address of a link, from the configured site and never from a request."""
    return settings.SITE_URL + reverse(route, args=[token])
