"""What the floor's day came to, for the office, and what is settled there when the lead's page is closed."""

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext
from django.views.decorators.http import require_POST, require_safe

from clinics.models import Clinic
from core import clock
from core.access import may
from core.client_ip import caller_address
from core.parsing import row_number
from core.refusal import Refusal
from core.theme import render_at
from floor.forms.day import CameForm, SignOutForm
from floor.queries.alarms_now import alarms_now
from floor.queries.day import floor_day_page
from floor.queries.floor_hours import wipe_at
from floor.queries.follow_ups import follow_up_lines
from floor.queries.log import floor_state
from floor.queries.phones import phone_lines
from floor.queries.twins import TWIN_CONFLICTS
from floor.services.settling import close_later, settle_later, settle_merged, settle_twins, sign_out_later
from floor.services.twins import join_twins
from floor.words import alarm_head, happened_words, left_words
from people.access import account


@require_safe
@may("see_clinics", "see_children")
def floor_day(request: HttpRequest, pk: int) -> HttpResponse:
    return _page(request, _clinic(pk))


@require_POST
@may("see_clinics", "see_children", "keep_children")
def floor_day_out(request: HttpRequest, pk: int) -> HttpResponse:
    """Who took a child home who was never signed out."""
    clinic = _clinic(pk)
    sign_ins = clinic.sign_ins.filter(child__isnull=False)
    row = get_object_or_404(sign_ins, pk=row_number(request.POST.get("sign_in", ""))).pk
    form = SignOutForm(request.POST, clinic=clinic, row=row)
    if form.is_valid():
        try:
            done = sign_out_later(
                clinic=clinic,
                sign_in=row,
                pickup=form.cleaned_data["pickup"],
                out_at=form.cleaned_data["at"],
                by=account(request),
                now=clock.now(),
                came_from=caller_address(request) or "",
            )
        except Refusal as refusal:
            refusal.show_on(form)
        else:
            messages.success(
                request, gettext("%(child)s was picked up by %(name)s.") % {"child": done.child, "name": done.pickup}
            )
            return redirect("clinic-day", pk)
    return _page(request, clinic, {row: form})


@require_POST
@may("see_clinics", "see_children", "keep_children")
def floor_day_settle(request: HttpRequest, pk: int) -> HttpResponse:
    """Which of two phones is right; or when somebody came in who was only signed out, or that they were not here."""
    clinic = _clinic(pk)
    right = request.POST.get("right", "")
    form = CameForm(request.POST, clinic=clinic, row=right) if request.POST.get("came") else None
    if form is None or form.is_valid():
        try:
            done = settle_later(
                clinic=clinic,
                right=right,
                in_at=form.cleaned_data["at"] if form else None,
                by=account(request),
                now=clock.now(),
                came_from=caller_address(request) or "",
            )
        except Refusal as refusal:
            if form is None:
                messages.error(request, str(refusal))
                return redirect("clinic-day", pk)
            refusal.show_on(form)
        else:
            messages.success(request, gettext("Fixed.") if done else gettext("Someone already fixed that."))
            return redirect("clinic-day", pk)
    return _page(request, clinic, {right: form})


@require_POST
@may("see_clinics", "see_children", "keep_children")
def floor_day_twins(request: HttpRequest, pk: int) -> HttpResponse:
    """Whether two lines of the door are one child or two, during the clinic or after it."""
    clinic = _clinic(pk)
    said: dict[str, Any] = {"by": account(request), "now": clock.now(), "came_from": caller_address(request) or ""}
    word = request.POST.get("word", "")
    try:
        if word == "merged":
            done = settle_merged(clinic=clinic, apart=request.POST.get("apart", ""), **said) is not None
        else:
            lines = (request.POST.get("one", ""), request.POST.get("other", ""))
            done = settle_twins(clinic=clinic, lines=lines, word=word, **said) is not None
            join_twins(clinic=clinic, state=floor_state(clinic), now=said["now"])
    except Refusal as refusal:
        messages.error(request, str(refusal))
        return redirect("clinic-day", pk)
    words = {"same": gettext("Merged into one record."), "apart": gettext("Recorded as two children.")}
    messages.success(request, words.get(word, gettext("Fixed.")) if done else gettext("Someone already fixed that."))
    return redirect("clinic-day", pk)


@require_POST
@may("see_clinics", "see_children", "keep_children")
def floor_day_close(request: HttpRequest, pk: int) -> HttpResponse:
    clinic = _clinic(pk)
    try:
        close_later(clinic=clinic, by=account(request), now=clock.now(), came_from=caller_address(request) or "")
        messages.success(request, gettext("Day closed."))
    except Refusal as refusal:
        messages.error(request, str(refusal))
    return redirect("clinic-day", pk)


def _clinic(pk: int) -> Clinic:
    return get_object_or_404(Clinic.objects.select_related("center"), pk=pk)


def _page(
    request: HttpRequest, clinic: Clinic, tried: Mapping[object, SignOutForm | CameForm] | None = None
) -> HttpResponse:
    may_read = request.user.has_perm("people.see_incidents")
    now = clock.now()
    page = floor_day_page(clinic, with_incidents=may_read)
    over = clinic.ends_at <= now
    shut = now >= wipe_at(clinic)
    may_settle = over and request.user.has_perm("people.keep_children")
    open_stays = [stay for line in page.still_in for stay in line.stays if stay.out_at is None]
    forms = tried or {}
    today = clock.today(clinic.center.tz)
    context = {
        "here": "clinics",
        "clinic": clinic,
        "page": page,
        "may_read": may_read,
        "over": over,
        "alarms": [] if over else [alarm_head(one) for one in alarms_now(clinic, today)],
        # The lead's phones are wiped: what is still open is settled here or nowhere.
        "shut": shut,
        "conflicts": [
            (one, forms.get(one.actions[0]) or CameForm(clinic=clinic, row=one.actions[0]))
            for one in page.conflicts
            if one.code not in TWIN_CONFLICTS
        ],
        "merged": [one for one in page.conflicts if one.code == "merged and apart"],
        "may_join": request.user.has_perm("people.keep_children"),
        "outs": [
            (stay, forms.get(stay.pk) or SignOutForm(clinic=clinic, row=stay.pk, initial={"sign_in": stay.pk}))
            for stay in (open_stays if may_settle else [])
        ],
        "may_settle": may_settle,
        "follow_ups": [
            (line, happened_words(line.incident), [left_words(code, line.incident) for code in line.left])
            for line in follow_up_lines(clinic)
        ],
        "may_follow": request.user.has_perm("people.keep_children"),
        "phones": phone_lines(clinic, now),
        "may_release": request.user.has_perm("people.cover_clinics"),
        "today": today,
    }
    return render_at(clinic.center.tz, request, "floor/day.html", context, status=422 if tried else 200)
