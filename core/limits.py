"""How often something may be done in a while, counted in Redis.

With Redis away nothing is counted and everything may go on: what is limited here is a nuisance, not a danger.
"""

import hashlib
import logging

import redis
from django.conf import settings
from django.core.cache import cache

__all__ = ["give_back", "take"]

log = logging.getLogger(__name__)


def take(what: str, who: str, *, most: int, seconds: int) -> bool:
    """Count one more of ``what`` by ``who``; False when ``most`` were counted in the open window of ``seconds``.

    Call it before the deed, so that many at once can't all slip through: see ``give_back``.
    """
    key = _key(what, who)
    try:
        if cache.add(key, 1, seconds):
            return True
        return int(cache.incr(key)) <= most
    except redis.RedisError:
        log.warning("Redis is away: %s is not being counted.", what)
        return True
    except ValueError:
        # The window closed between the two calls, so this one begins the next.
        return True


def give_back(what: str, who: str) -> None:
    """Take one count back, because the deed did not happen after all."""
    try:
        cache.decr(_key(what, who))
    except redis.RedisError:
        log.warning("Redis is away: %s could not be given back.", what)
    except ValueError:
        log.debug("The window of %s has closed.", what)


def _key(what: str, who: str) -> str:
    """Redis holds no email address, only its hash with the site's own key."""
    return f"limit:{what.replace(' ', '-')}:{hashlib.sha256(f'{settings.SECRET_KEY} {who}'.encode()).hexdigest()[:32]}"
