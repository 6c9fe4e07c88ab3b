"""Logging in and out, and passwords. Email about a password goes through the outbox like any other."""

from typing import Any

from django.contrib.auth import views
from django.http import HttpRequest, HttpResponse
from django.urls import reverse_lazy

from people.forms.accounts import ForgotPasswordForm, NewPasswordForm, PasswordForm, SignInForm
from people.passwords import password_tokens

PAGES = "people/accounts/"


class SignIn(views.LoginView):
    template_name = PAGES + "login.html"
    authentication_form = SignInForm
    redirect_authenticated_user = True


class SignOut(views.LogoutView):
    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Whatever pages kept on this device goes too: who logs in here next finds nothing of it."""
        response = super().post(request, *args, **kwargs)
        response["Clear-Site-Data"] = '"storage"'
        return response


class ChangePassword(views.PasswordChangeView):
    template_name = PAGES + "password_change.html"
    form_class = PasswordForm
    success_url = reverse_lazy("password_change_done")


class PasswordChanged(views.PasswordChangeDoneView):
    template_name = PAGES + "password_change_done.html"


class ForgotPassword(views.PasswordResetView):
    template_name = PAGES + "password_reset.html"
    form_class = ForgotPasswordForm
    success_url = reverse_lazy("password_reset_done")


class ForgotPasswordSent(views.PasswordResetDoneView):
    template_name = PAGES + "password_reset_done.html"


class NewPassword(views.PasswordResetConfirmView):
    template_name = PAGES + "password_reset_confirm.html"
    form_class = NewPasswordForm
    token_generator = password_tokens
    success_url = reverse_lazy("password_reset_complete")


class NewPasswordDone(views.PasswordResetCompleteView):
    template_name = PAGES + "password_reset_complete.html"
