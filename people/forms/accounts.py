"""Forms for signing in and for passwords."""

from typing import Any

from django.contrib.auth import forms
from django.db import transaction

from people.services.accounts import write_password_note

__all__ = ["ForgotPasswordForm", "NewPasswordForm", "PasswordForm", "SignInForm"]


class SignInForm(forms.AuthenticationForm):
    error_messages = {
        "invalid_login": "That address and password don't go together. Check both, or ask for a new password.",
        "inactive": "This account is closed. Ask your admin.",
    }


class PasswordForm(forms.PasswordChangeForm):
    error_messages = {
        **forms.PasswordChangeForm.error_messages,
        "password_incorrect": "That is not your present password. Type it again.",
    }


class NewPasswordForm(forms.SetPasswordForm):
    pass


class ForgotPasswordForm(forms.PasswordResetForm):
    """Writes a note to the outbox instead of sending mail from a page."""

    def save(self, *args: Any, **kwargs: Any) -> None:
        with transaction.atomic():
            for account in self.get_users(self.cleaned_data["email"]):
                write_password_note(account)
