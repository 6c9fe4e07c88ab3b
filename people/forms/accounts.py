"""Forms for logging in and for passwords."""

from typing import Any

from django.contrib.auth import forms
from django.db import transaction
from django.utils.translation import gettext_lazy as _

from people.services.accounts import write_password_note

__all__ = ["ForgotPasswordForm", "NewPasswordForm", "PasswordForm", "SignInForm"]


class SignInForm(forms.AuthenticationForm):
    error_messages = {
        "invalid_login": _("That email and password don’t match. Check both, or reset your password."),
        "inactive": _("This account is closed. Contact your admin."),
    }


class PasswordForm(forms.PasswordChangeForm):
    error_messages = {
        **forms.PasswordChangeForm.error_messages,
        "password_incorrect": _("That isn’t your current password. Try again."),
    }


class NewPasswordForm(forms.SetPasswordForm):
    pass


class ForgotPasswordForm(forms.PasswordResetForm):
    """Writes a message to the outbox instead of sending email from a page."""

    def save(self, *args: Any, **kwargs: Any) -> None:
        with transaction.atomic():
            for account in self.get_users(self.cleaned_data["email"]):
                write_password_note(account)
