"""Notes about accounts."""

from config import clock
from people.models import User
from scheduling.models import NoteKind
from scheduling.services.outbox import note_to_account

__all__ = ["write_password_note"]


def write_password_note(account: User) -> None:
    """One note a minute at most for one account, however often the page is sent."""
    now = clock.now()
    note_to_account(
        kind=NoteKind.PASSWORD_RESET,
        account=account,
        summary=f"New password for {account.name}",
        key=f"{NoteKind.PASSWORD_RESET}:account {account.pk}:{now:%Y-%m-%dT%H:%M}",
        now=now,
    )
