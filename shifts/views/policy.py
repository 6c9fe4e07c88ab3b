"""The admin's policy: kinds of clearance, what each duty needs from which day, and what a change would do."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_safe

from clinics.models import Center
from core import clock
from core.access import may
from core.formats import long_day
from core.refusal import Refusal
from core.saving import saved_or_refused
from people.forms.policy import DutyForm, KindForm, NoticeScheduleForm, PolicyChangeForm, notice_schedule_sentence
from people.models import ClearanceKind, Duty, NoticeStep
from people.services.duties import add_duty
from people.services.policy import change_policy, check_change, set_ladder
from shifts.queries.policy import effects_of, policy_lines


@require_safe
@may("keep_policy")
def policy(request: HttpRequest) -> HttpResponse:
    today = clock.today()
    context = {
        "here": "policy",
        "today": today,
        "lines": policy_lines(today),
        "kinds": ClearanceKind.objects.all(),
        "duties": Duty.objects.all(),
        "ladder": notice_schedule_sentence(list(NoticeStep.objects.values_list("days_before", flat=True))),
        "places": Center.objects.exclude(place="").values_list("place", flat=True).distinct().order_by("place"),
    }
    return render(request, "shifts/policy.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_policy")
def policy_change(request: HttpRequest) -> HttpResponse:
    """First what would change, then, with the same words sent again and ``confirmed``, the change itself."""
    initial = {name: request.GET[name] for name in ("duty", "kind", "place", "months") if name in request.GET}
    posted = request.method == "POST"
    form = PolicyChangeForm(request.POST if posted else None, initial={"from_day": clock.today()} | initial)
    effects = None
    if posted and form.is_valid():
        change = form.change()
        try:
            check_change(change, clock.today())
            if request.POST.get("confirmed"):
                change_policy(change=change, now=clock.now())
                text = gettext("Policy change saved. It starts %(day)s.") % {"day": long_day(change.from_day)}
                messages.success(request, text)
                return redirect("policy")
            effects = effects_of(change, clock.now())
        except Refusal as refusal:
            refusal.show_on(form)
    context = {"here": "policy", "form": form, "effects": effects, "today": clock.today()}
    return render(request, "shifts/policy_change.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_policy")
def kind_new(request: HttpRequest) -> HttpResponse:
    form = KindForm(request.POST if request.method == "POST" else None)
    return _kind_page(request, form, gettext("Add a clearance"))


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_policy")
def kind_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(ClearanceKind, pk=pk)
    form = KindForm(request.POST if request.method == "POST" else None, instance=row)
    return _kind_page(request, form, gettext("Edit %(name)s") % {"name": row})


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_policy")
def duty_new(request: HttpRequest) -> HttpResponse:
    form = DutyForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            row = add_duty(duty=form.save(commit=False), like=form.cleaned_data["like"], now=clock.now())
            text = gettext("%(duty)s added. Assign it to people on their volunteer pages.")
            messages.success(request, text % {"duty": str(row).capitalize()})
            return redirect("policy")
        except Refusal as refusal:
            refusal.show_on(form)
    return _form_page(request, form, gettext("Add a duty"), gettext("Save duty"))


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_policy")
def duty_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Duty, pk=pk)
    heading = gettext("Edit %(name)s") % {"name": row}
    form = DutyForm(request.POST if request.method == "POST" else None, instance=row)
    if request.method == "POST" and form.is_valid() and saved_or_refused(form) is not None:
        messages.success(request, gettext("%(duty)s saved.") % {"duty": str(row).capitalize()})
        return redirect("policy")
    return _form_page(request, form, heading, gettext("Save duty"))


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_policy")
def notice_schedule(request: HttpRequest) -> HttpResponse:
    now = notice_schedule_sentence(list(NoticeStep.objects.values_list("days_before", flat=True)))
    form = NoticeScheduleForm(request.POST if request.method == "POST" else None, initial={"days": now})
    if request.method == "POST" and form.is_valid():
        try:
            set_ladder(days=form.numbers())
            messages.success(request, gettext("Renewal reminders saved."))
            return redirect("policy")
        except Refusal as refusal:
            refusal.show_on(form)
    return _form_page(request, form, gettext("Renewal reminders"), gettext("Save renewal reminders"))


def _kind_page(request: HttpRequest, form: KindForm, heading: str) -> HttpResponse:
    if request.method == "POST" and form.is_valid():
        row = form.save()
        text = gettext("%(clearance)s saved. Next, choose which duties require it.")
        messages.success(request, text % {"clearance": str(row).capitalize()})
        return redirect("policy")
    return _form_page(request, form, heading, gettext("Save clearance"))


def _form_page(
    request: HttpRequest, form: DutyForm | KindForm | NoticeScheduleForm, heading: str, save: str
) -> HttpResponse:
    context = {"here": "policy", "form": form, "heading": heading, "save": save}
    return render(request, "shifts/policy_form.html", context, status=422 if form.errors else 200)
