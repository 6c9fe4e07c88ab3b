"""The token in a letter about a password: Django's own, by this site's clock."""

from datetime import datetime

from django.contrib.auth.tokens import PasswordResetTokenGenerator

from core import clock

__all__ = ["password_tokens"]


class PasswordTokens(PasswordResetTokenGenerator):
    def _now(self) -> datetime:
        # Django counts whole seconds between two such times and knows no zone here.
        return clock.now().replace(tzinfo=None)


password_tokens = PasswordTokens()
