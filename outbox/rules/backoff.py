"""How long a note waits after the mail server could not take it."""

from datetime import datetime, timedelta

__all__ = ["WAITS_MINUTES", "next_try"]

# Minutes after each failed try; after the last a person looks. Common practice, no source: RFC 5321 section
# 4.5.4.1 asks a sending host for at least 30 minutes between tries, which the mail server itself keeps to.
WAITS_MINUTES = (1, 5, 30, 120, 360)


def next_try(tries: int, now: datetime) -> datetime | None:
    """The moment of the next try after ``tries`` failed ones, or None when a person should look.

    Raises ValueError when ``tries`` is below 1.
    """
    if tries < 1:
        raise ValueError("Ask after at least one try.")
    if tries > len(WAITS_MINUTES):
        return None
    return now + timedelta(minutes=WAITS_MINUTES[tries - 1])
