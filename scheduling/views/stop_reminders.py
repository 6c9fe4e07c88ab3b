"""No more reminders: a page with one button, and the one-press POST of RFC 8058 from a mail program."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods

from config import links
from config.link_pages import link_problem, subject_of
from people.models import Volunteer
from scheduling.services.choices import stop_reminders as stop


# A mail program posts without cookies (RFC 8058 section 3.1); the signed link itself is the proof.
@csrf_exempt
@require_http_methods(["GET", "HEAD", "POST"])
def stop_reminders(request: HttpRequest, token: str) -> HttpResponse:
    try:
        gone = "This person is no longer in our books."
        volunteer = subject_of(request, "reminders", token, Volunteer.objects.all(), gone)
    except links.LinkProblem as problem:
        return link_problem(request, problem)
    if request.method == "POST":
        stop(volunteer=volunteer)
        volunteer.refresh_from_db()
    # Answered in place: RFC 8058 allows no redirect.
    return render(request, "scheduling/stop_reminders.html", {"volunteer": volunteer})
