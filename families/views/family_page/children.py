"""Each child on the family's own page: facts, care, whom to call, pickup people, photos, signatures,
another guardian.
"""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from core import clock
from core.client_ip import caller_address
from core.refusal import Refusal
from families.formatting import show_refusal
from families.forms.family_page import (
    CareForm,
    ChildForm,
    EmergencyForm,
    InviteForm,
    PickupPersonForm,
    SignForm,
    SmallForm,
)
from families.models import Child, Guardian, Guardianship, PhotoAnswer, PickupPerson, Waiver
from families.queries.waiver_texts import current_text
from families.queries.waivers import open_waivers
from families.services import family_facts, households
from families.services import family_page as services
from families.services.care import care_mark, care_on_file, write_care
from families.services.family_records import end_pickup_person
from families.views.family_page.guardians import family_action, for_guardian


def _own_child(guardian: Guardian, pk: int) -> Child:
    return get_object_or_404(Child.objects.known(), pk=pk, guardianships__guardian=guardian)


def _forms(child: Child, link: Guardianship) -> dict[str, SmallForm]:
    return {
        "child": ChildForm(
            initial={
                "name": child.name,
                "birth_date": child.birth_date,
                "experience": child.experience,
                "school_year": child.school_year,
            }
        ),
        "care": CareForm(initial={} if child.has_care else care_on_file(child)),
        "emergency": EmergencyForm(
            initial={"emergency_name": link.emergency_name, "emergency_phone": link.emergency_phone}
        ),
        "pickup_person": PickupPersonForm(),
        "sign": SignForm(),
        "invite": InviteForm(),
    }


def _show(
    request: HttpRequest,
    guardian: Guardian,
    token: str,
    row: Child,
    form: SmallForm | None = None,
    *,
    care_was: str = "",
    care_now: Child | None = None,
) -> HttpResponse:
    """The child's page as it is, or with one form as it was typed.

    Care notes that were refused are still those written over what ``care_was`` stands for, unless what is written by
    now (``care_now``) is shown beside them.
    """
    link = Guardianship.objects.get(child=row, guardian=guardian)
    on_page = _forms(row, link) | ({form.kind: form} if form else {})
    today = clock.today()
    context = {
        "row": row,
        "guardian": guardian,
        "link": link,
        "token": token,
        # What is locked is shown only when asked for by a press, and not on a page left open.
        "shown": not row.has_care or isinstance(form, CareForm),
        "care_mark": care_was or care_mark(row),
        "care_now": care_now,
        "forms": on_page,
        "pickup_people": PickupPerson.objects.in_force().filter(child=row, named_by=guardian, must_not=False),
        "photo": PhotoAnswer.objects.filter(child=row, guardian=guardian).first(),
        "text": current_text(guardian.language),
        "standing": open_waivers([row.pk], clock.home_zone()).on(row.pk, today),
        "signatures": Waiver.objects.filter(child=row, guardian=guardian).select_related("text"),
        "today": today,
    }
    status = 422 if any(one.errors for one in on_page.values()) else 200
    return render(request, "families/family_page/child.html", context, status=status)


def _saved(request: HttpRequest, token: str, pk: int) -> HttpResponse:
    messages.success(request, gettext("Saved. Thank you!"))
    return redirect("family-child", token, pk)


@require_safe
@for_guardian
def child(request: HttpRequest, guardian: Guardian, token: str, pk: int) -> HttpResponse:
    return _show(request, guardian, token, _own_child(guardian, pk))


@family_action("family-child", "pk")
def change(request: HttpRequest, guardian: Guardian, token: str, pk: int) -> HttpResponse:
    row, form = _own_child(guardian, pk), ChildForm(request.POST)
    if form.is_valid():
        try:
            services.save_child(child=row, facts=form.facts(), now=clock.now())
            return _saved(request, token, pk)
        except Refusal as refusal:
            show_refusal(refusal, form)
    return _show(request, guardian, token, row, form)


@family_action("family-child", "pk")
def care_show(request: HttpRequest, guardian: Guardian, token: str, pk: int) -> HttpResponse:
    """What is locked, to read and to change. A press, so that no address that is opened shows it."""
    row = _own_child(guardian, pk)
    form = CareForm(initial=care_on_file(row))
    return _show(request, guardian, token, row, form)


@family_action("family-child", "pk")
def care(request: HttpRequest, guardian: Guardian, token: str, pk: int) -> HttpResponse:
    row, form, was = _own_child(guardian, pk), CareForm(request.POST), request.POST.get("was")
    if not form.is_valid():
        return _show(request, guardian, token, row, form, care_was=was or "")
    try:
        write_care(child=row, was=was, **form.cleaned_data)
    except Refusal as refusal:
        # The only one there is: something else is written by now.
        show_refusal(refusal, form)
        row.refresh_from_db()
        return _show(request, guardian, token, row, form, care_now=row)
    return _saved(request, token, pk)


@family_action("family-child", "pk")
def emergency(request: HttpRequest, guardian: Guardian, token: str, pk: int) -> HttpResponse:
    row, form = _own_child(guardian, pk), EmergencyForm(request.POST)
    if not form.is_valid():
        return _show(request, guardian, token, row, form)
    data = form.cleaned_data
    family_facts.save_emergency(
        child=row, guardian=guardian, name=data["emergency_name"], phone=data["emergency_phone"]
    )
    return _saved(request, token, pk)


@family_action("family-child", "pk")
def pickup_person_new(request: HttpRequest, guardian: Guardian, token: str, pk: int) -> HttpResponse:
    row, form = _own_child(guardian, pk), PickupPersonForm(request.POST)
    if not form.is_valid():
        return _show(request, guardian, token, row, form)
    family_facts.add_pickup_person(child=row, guardian=guardian, facts=form.facts(), now=clock.now())
    return _saved(request, token, pk)


@family_action("family-child", "pk")
def pickup_person_end(
    request: HttpRequest, guardian: Guardian, token: str, pk: int, pickup_person: int
) -> HttpResponse:
    ours = PickupPerson.objects.filter(child=_own_child(guardian, pk), named_by=guardian, must_not=False)
    end_pickup_person(pickup_person=get_object_or_404(ours, pk=pickup_person), now=clock.now())
    return _saved(request, token, pk)


@family_action("family-child", "pk")
def photos(request: HttpRequest, guardian: Guardian, token: str, pk: int) -> HttpResponse:
    row, allowed = _own_child(guardian, pk), request.POST.get("allowed") == "yes"
    households.answer_photo(child=row, guardian=guardian, allowed=allowed, now=clock.now())
    return _saved(request, token, pk)


@family_action("family-child", "pk")
def sign(request: HttpRequest, guardian: Guardian, token: str, pk: int) -> HttpResponse:
    row, form = _own_child(guardian, pk), SignForm(request.POST)
    if form.is_valid():
        try:
            family_facts.sign_for(
                children=[row],
                guardian=guardian,
                typed_name=form.cleaned_data["signed"],
                text_number=request.POST.get("text", ""),
                came_from=caller_address(request) or None,
                today=clock.today(),
                now=clock.now(),
            )
            messages.success(request, gettext("Waiver signed. Thank you!"))
            return redirect("family-child", token, pk)
        except Refusal as refusal:
            show_refusal(refusal, form)
    return _show(request, guardian, token, row, form)


@family_action("family-child", "pk")
def withdraw(request: HttpRequest, guardian: Guardian, token: str, pk: int, waiver: int) -> HttpResponse:
    """A signature is taken back; another one may still hold for the child."""
    row = _own_child(guardian, pk)
    signature = get_object_or_404(Waiver.objects.filter(child=row, guardian=guardian), pk=waiver)
    households.withdraw_waiver(waiver=signature, by=f"{guardian}, by link"[:120], now=clock.now())
    words = gettext("Signature withdrawn. Your child can’t take part until you sign again.")
    if open_waivers([row.pk], clock.home_zone()).on(row.pk, clock.today()).ok:
        words = gettext("Signature withdrawn. Another signature for your child is still valid.")
    messages.success(request, words)
    return redirect("family-child", token, pk)


@family_action("family-child", "pk")
def invite(request: HttpRequest, guardian: Guardian, token: str, pk: int) -> HttpResponse:
    row, form = _own_child(guardian, pk), InviteForm(request.POST)
    if not form.is_valid():
        return _show(request, guardian, token, row, form)
    data = form.cleaned_data
    services.invite_guardian(child=row, by=guardian, name=data["name"], email=data["email"], now=clock.now())
    # The same words whether or not we know the address: nobody learns here who is with us.
    messages.success(request, gettext("We’ll email them, unless they’re already a guardian of this child."))
    return redirect("family-child", token, pk)
