"""Each child on the family's own page: facts, care, collectors, photos, signatures, and places at further clinics."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from clinics.models import Clinic, Status
from core import clock
from core.client_ip import caller_address
from core.refusal import Refusal
from families.formatting import refusal_words, show_refusal
from families.forms.family_page import (
    CareForm,
    ChildForm,
    CollectorForm,
    EmergencyForm,
    InviteForm,
    NewChildForm,
    SignForm,
)
from families.models import Child, Collector, Guardian, Guardianship, PhotoAnswer, Place, Waiver
from families.queries.family_page import clinic_children
from families.queries.waivers import open_waivers
from families.services import family_facts as people_services
from families.services import family_page as services
from families.services import households
from families.services.care import care_mark, write_care
from families.services.family_records import end_collector
from families.services.place_books import age_at
from families.views.family_page import for_guardian


def _own_child(guardian: Guardian, pk: int) -> Child:
    return get_object_or_404(Child.objects.known(), pk=pk, guardianships__guardian=guardian)


def _number(text: str) -> int:
    if not text.isascii() or not text.isdigit() or len(text) > 15:
        raise Http404
    return int(text)


def _forms(child: Child, guardian: Guardian, link: Guardianship) -> dict[str, forms.Form]:
    return {
        "child": ChildForm(
            initial={
                "name": child.name,
                "birth_date": child.birth_date,
                "experience": child.experience,
                "school_year": child.school_year,
            }
        ),
        "care": CareForm(),
        "emergency": EmergencyForm(
            initial={"emergency_name": link.emergency_name, "emergency_phone": link.emergency_phone}
        ),
        "collector": CollectorForm(),
        "sign": SignForm(),
        "invite": InviteForm(),
    }


@require_http_methods(["GET", "HEAD", "POST"])
@for_guardian
def child(request: HttpRequest, guardian: Guardian, token: str, pk: int) -> HttpResponse:
    row = _own_child(guardian, pk)
    link = Guardianship.objects.get(child=row, guardian=guardian)
    on_page = _forms(row, guardian, link)
    # What is locked is shown only when asked for by a press: it is in no address, and not on a page left open.
    shown, care_now = not row.has_care, None
    if request.method == "POST":
        asked = request.POST.get("ask", "")
        if asked == "show":
            shown = True
            on_page["care"] = CareForm(initial={"allergies": row.allergies, "care_notes": row.care_notes})
        elif asked in FORMS:
            kind, save = FORMS[asked]
            on_page[asked] = form = kind(request.POST)
            shown = shown or asked == "care"
            if form.is_valid():
                try:
                    save(request, row, guardian, form)
                    return redirect("family-child", token, pk)
                except Refusal as refusal:
                    show_refusal(refusal, form)
                    if "care changed" in refusal.codes:
                        row.refresh_from_db()
                        care_now = row
        elif asked in PRESSES:
            PRESSES[asked](request, row, guardian)
            return redirect("family-child", token, pk)
    today = clock.today()
    context = {
        "row": row,
        "guardian": guardian,
        "link": link,
        "token": token,
        "shown": shown,
        "care_mark": care_mark(row),
        "care_now": care_now,
        "forms": on_page,
        "collectors": Collector.objects.standing().filter(child=row, named_by=guardian, must_not=False),
        "photo": PhotoAnswer.objects.filter(child=row, guardian=guardian).first(),
        "text": households.current_text(guardian.language),
        "standing": open_waivers([row.pk], clock.home_zone()).on(row.pk, today),
        "signatures": Waiver.objects.filter(child=row, guardian=guardian).select_related("text"),
        "today": today,
    }
    status = 422 if any(form.errors for form in on_page.values()) else 200
    return render(request, "families/family_page/child.html", context, status=status)


def _save_child(request: HttpRequest, row: Child, guardian: Guardian, form: Any) -> None:
    services.save_child(child=row, facts=form.facts(), now=clock.now())
    messages.success(request, gettext("Saved. Thank you for telling us."))


def _save_care(request: HttpRequest, row: Child, guardian: Guardian, form: Any) -> None:
    data = form.cleaned_data
    write_care(child=row, allergies=data["allergies"], care_notes=data["care_notes"], was=request.POST.get("was"))
    messages.success(request, gettext("Saved. Thank you for telling us."))


def _save_emergency(request: HttpRequest, row: Child, guardian: Guardian, form: Any) -> None:
    data = form.cleaned_data
    people_services.save_emergency(
        child=row, guardian=guardian, name=data["emergency_name"], phone=data["emergency_phone"]
    )
    messages.success(request, gettext("Saved. Thank you for telling us."))


def _add_collector(request: HttpRequest, row: Child, guardian: Guardian, form: Any) -> None:
    people_services.add_collector(child=row, guardian=guardian, facts=form.facts(), now=clock.now())
    messages.success(request, gettext("Saved. Thank you for telling us."))


def _sign(request: HttpRequest, row: Child, guardian: Guardian, form: Any) -> None:
    people_services.sign_for(
        children=[row],
        guardian=guardian,
        typed_name=form.cleaned_data["signed"],
        text_number=request.POST.get("text", ""),
        came_from=caller_address(request) or None,
        today=clock.today(),
        now=clock.now(),
    )
    messages.success(request, gettext("Signed. Thank you."))


def _invite(request: HttpRequest, row: Child, guardian: Guardian, form: Any) -> None:
    data = form.cleaned_data
    services.invite_guardian(child=row, by=guardian, name=data["name"], email=data["email"], now=clock.now())
    # The same words whether or not we know the address: nobody learns here who is with us.
    messages.success(request, gettext("They are being written to, unless they answer for this child already."))


FORMS: dict[str, tuple[type[forms.Form], Callable[[HttpRequest, Child, Guardian, Any], None]]] = {
    "child": (ChildForm, _save_child),
    "care": (CareForm, _save_care),
    "emergency": (EmergencyForm, _save_emergency),
    "collector": (CollectorForm, _add_collector),
    "sign": (SignForm, _sign),
    "invite": (InviteForm, _invite),
}


def _end_collector(request: HttpRequest, row: Child, guardian: Guardian) -> None:
    ours = Collector.objects.filter(child=row, named_by=guardian, must_not=False)
    end_collector(collector=get_object_or_404(ours, pk=_number(request.POST.get("collector", ""))), now=clock.now())
    messages.success(request, gettext("Saved. Thank you for telling us."))


def _photo(request: HttpRequest, row: Child, guardian: Guardian) -> None:
    allowed = request.POST.get("allowed") == "yes"
    households.answer_photo(child=row, guardian=guardian, allowed=allowed, now=clock.now())
    messages.success(request, gettext("Saved. Thank you for telling us."))


def _withdraw(request: HttpRequest, row: Child, guardian: Guardian) -> None:
    ours = Waiver.objects.filter(child=row, guardian=guardian)
    waiver = get_object_or_404(ours, pk=_number(request.POST.get("waiver", "")))
    households.withdraw_waiver(waiver=waiver, by=f"{guardian}, by link"[:120], now=clock.now())
    if open_waivers([row.pk], clock.home_zone()).on(row.pk, clock.today()).ok:
        messages.success(request, gettext("This signature is taken back. Another one for the child still holds."))
        return
    messages.success(request, gettext("Your signature is taken back. Until you sign again, the child can’t take part."))


PRESSES: dict[str, Callable[[HttpRequest, Child, Guardian], None]] = {
    "end collector": _end_collector,
    "photo": _photo,
    "withdraw": _withdraw,
}


@require_http_methods(["GET", "HEAD", "POST"])
@for_guardian
def child_new(request: HttpRequest, guardian: Guardian, token: str) -> HttpResponse:
    known = Guardianship.objects.filter(guardian=guardian).exclude(emergency_name="").order_by("-pk").first()
    form = NewChildForm(
        initial={
            "emergency_name": known.emergency_name if known else "",
            "emergency_phone": known.emergency_phone if known else "",
        }
    )
    text = households.current_text(guardian.language)
    if request.method == "POST":
        form = NewChildForm(request.POST)
        if form.is_valid():
            data = form.cleaned_data
            try:
                if data["signed"]:
                    text = people_services.text_read(guardian, request.POST.get("text", ""))
                household = households.HouseholdFacts(
                    guardian_name=guardian.name,
                    emergency_name=data["emergency_name"],
                    emergency_phone=data["emergency_phone"],
                    photos=data["photos"],
                    signed=data["signed"],
                    text=text,
                    came_from=caller_address(request) or None,
                )
                row = services.add_child(
                    guardian=guardian, facts=form.facts(), household=household, today=clock.today(), now=clock.now()
                )
                messages.success(request, gettext("Saved. Thank you for telling us."))
                return redirect("family-child", token, row.pk)
            except Refusal as refusal:
                show_refusal(refusal, form)
    context = {"guardian": guardian, "token": token, "form": form, "text": text}
    return render(request, "families/family_page/child_new.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@for_guardian
def clinic(request: HttpRequest, guardian: Guardian, token: str, pk: int) -> HttpResponse:
    """Places at one more clinic: one press when everything is signed on its day, else the text and a typed name."""
    rows = Clinic.objects.select_related("center").prefetch_related("bands")
    row = get_object_or_404(rows, pk=pk, status=Status.CONFIRMED, takes_families=True)
    children = list(Child.objects.known().filter(guardianships__guardian=guardian))
    book = open_waivers((one.pk for one in children), clock.home_zone())
    mine = set(Place.objects.live().filter(guardian=guardian, clinic=row).values_list("child", "clinic"))
    choices = clinic_children(row, children, book, mine)
    chosen = {_number(one) for one in request.POST.getlist("child")}
    picked = [one for one in choices if one.child.pk in chosen]
    unsigned = [one.child for one in picked if not one.signed]
    form, refused = SignForm(), []
    if request.method == "POST":
        # A press on the family's page brings no name: the text is then shown for it.
        form = SignForm(request.POST) if unsigned and "signed" in request.POST else SignForm()
        if not picked:
            refused = [gettext("Choose at least one child.")]
        elif not unsigned or (form.is_bound and form.is_valid()):
            try:
                services.register_again(
                    clinic=row,
                    guardian=guardian,
                    children=[one.child for one in picked],
                    unsigned=unsigned,
                    typed_name=form.cleaned_data["signed"] if unsigned else "",
                    text_number=request.POST.get("text", ""),
                    came_from=caller_address(request) or None,
                    today=clock.today(),
                    now=clock.now(),
                )
                messages.success(request, gettext("Done. Your page says which places you have."))
                return redirect("family-page", token)
            except Refusal as refusal:
                refused = [words for _, words in refusal_words(refusal)]
    context = {
        "guardian": guardian,
        "token": token,
        "clinic": row,
        "center": row.center,
        "choices": choices,
        "chosen": chosen,
        "needs_signing": any(not one.signed for one in choices),
        "form": form,
        "text": households.current_text(guardian.language),
        "refused": refused,
        "today": clock.today(row.center.tz),
        "ages": {one.pk: age_at(one.birth_date, row.day) for one in children},
    }
    status = 422 if form.errors or (refused and not picked) else 409 if refused else 200
    return render(request, "families/family_page/clinic.html", context, status=status)
