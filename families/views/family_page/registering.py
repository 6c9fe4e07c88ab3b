"""One more child of the family, and spots at further clinics."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from clinics.models import Clinic, Status
from core import clock
from core.client_ip import caller_address
from core.parsing import row_number
from core.refusal import Refusal
from families.formatting import refusal_words, show_refusal
from families.forms.family_page import NewChildForm, SignForm
from families.models import Child, Guardian, Guardianship, Spot
from families.queries.family_page import clinic_children
from families.queries.waiver_texts import current_text
from families.queries.waivers import open_waivers
from families.rules.spots import age_at
from families.services import family_facts, households
from families.services import family_page as services
from families.views.family_page.guardians import for_guardian


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
    text = current_text(guardian.language)
    if request.method == "POST":
        form = NewChildForm(request.POST)
        if form.is_valid():
            data = form.cleaned_data
            try:
                if data["signed"]:
                    text = family_facts.text_read(guardian, request.POST.get("text", ""))
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
                messages.success(request, gettext("Saved. Thank you!"))
                return redirect("family-child", token, row.pk)
            except Refusal as refusal:
                show_refusal(refusal, form)
    context = {"guardian": guardian, "token": token, "form": form, "text": text}
    return render(request, "families/family_page/child_new.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@for_guardian
def clinic(request: HttpRequest, guardian: Guardian, token: str, pk: int) -> HttpResponse:
    """Spots at one more clinic: one press when everything is signed on its day, else the text and a typed name."""
    rows = Clinic.objects.select_related("center").prefetch_related("bands")
    row = get_object_or_404(rows, pk=pk, status=Status.CONFIRMED, takes_families=True)
    children = list(Child.objects.known().filter(guardianships__guardian=guardian))
    book = open_waivers((one.pk for one in children), clock.home_zone())
    mine = set(Spot.objects.live().filter(guardian=guardian, clinic=row).values_list("child", "clinic"))
    choices = clinic_children(row, children, book, mine)
    chosen = {row_number(one) for one in request.POST.getlist("child")}
    if None in chosen:
        raise Http404
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
                messages.success(request, gettext("Done! Your upcoming clinics are listed below."))
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
        "text": current_text(guardian.language),
        "refused": refused,
        "today": clock.today(row.center.tz),
        "ages": {one.pk: age_at(one.birth_date, row.day) for one in children},
    }
    status = 422 if form.errors or (refused and not picked) else 409 if refused else 200
    return render(request, "families/family_page/clinic.html", context, status=status)
