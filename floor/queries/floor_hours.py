"""When a clinic's floor page may be open, and until when what phones wrote is kept."""

from datetime import datetime, timedelta

from clinics.models import Clinic

__all__ = ["LOG_KEPT", "OPEN_AFTER", "OPEN_BEFORE", "wipe_at"]

# The page may be loaded at home the evening before, and what was kept in a gym without signal still arrives after.
OPEN_BEFORE = timedelta(hours=24)
OPEN_AFTER = timedelta(hours=12)
# The phones' own entries are worked out into the books at once; after this nobody settles them any more.
LOG_KEPT = timedelta(days=31)


def wipe_at(clinic: Clinic) -> datetime:
    """When the floor page closes for good and the phone forgets what it kept."""
    return clinic.ends_at + OPEN_AFTER
