"""What the outbox asks of the apps above it."""

from collections.abc import Callable

from core.hooks import Hook
from outbox.models import Note

__all__ = ["page_of_subject"]

# The address of the page of what a note speaks of; "" where there is none, or the reader may not open it. Asked by
# the outbox page for each line, so an answer reads nothing from the database. It is called with the note and with
# what says whether the reader has a permission.
page_of_subject: Hook[[Note, Callable[[str], bool]], str] = Hook("outbox.page_of_subject")
