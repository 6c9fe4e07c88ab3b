"""Turning reminders off: a page with one button, and the one-press POST of RFC 8058 from a mail program."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy

from outbox.views.stop import stopping
from people.models import Volunteer
from shifts.letters.shifts import REMINDERS
from shifts.services.mail_preferences import stop_reminders as stop

__all__ = ["stop_reminders"]


def _page(request: HttpRequest, volunteer: Volunteer) -> HttpResponse:
    return render(request, "shifts/stop_reminders.html", {"volunteer": volunteer})


stop_reminders = stopping(
    REMINDERS,
    rows=Volunteer.objects.all,
    gone=gettext_lazy("This person is no longer on file."),
    end=lambda volunteer: stop(volunteer=volunteer),
    page=_page,
)
