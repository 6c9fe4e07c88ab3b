"""What clinics ask of the apps above them, which they know nothing of. The needs of the desk are in ``needs``."""

from datetime import datetime

from clinics.models import Center, Clinic, Space
from core.hooks import Hook

__all__ = ["sheet_may_be_whole", "space_of"]

# A center was saved, in this transaction; each answers how many clinics it has confirmed for that.
sheet_may_be_whole: Hook[[Center, datetime], int] = Hook("clinics.sheet_may_be_whole")
# The space that is reserved for a clinic; None while none is. One app answers.
space_of: Hook[[Clinic], Space | None] = Hook("clinics.space_of")
