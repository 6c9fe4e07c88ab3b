"""What brings families to the public page: the poster with its code, and the switch that opens it."""

import segno
from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.safestring import mark_safe
from django.utils.translation import gettext
from django.views.decorators.http import require_POST, require_safe

from clinics.models import Clinic, Status
from core import clock
from core.access import may
from core.refusal import Refusal
from core.theme import render_at
from families.services.opening import take_families


@require_safe
@may("see_clinics")
def poster(request: HttpRequest, pk: int) -> HttpResponse:
    """One sheet in English and Spanish for the center's wall, with the code of the clinic's public page."""
    clinic = get_object_or_404(Clinic.objects.select_related("center").prefetch_related("bands"), pk=pk)
    address = settings.SITE_URL + reverse("register-clinic", args=[pk])
    code = segno.make(address, error="m").svg_inline(border=4, title=address, omitsize=True)
    context = {
        "here": "clinics",
        "clinic": clinic,
        "center": clinic.center,
        "today": clock.today(clinic.center.tz),
        "address": address,
        "code": mark_safe(code),
        "languages": ["en", "es"],
        "may_hang": clinic.live and clinic.status == "confirmed" and clinic.takes_families,
    }
    return render_at(clinic.center.tz, request, "families/poster.html", context)


@require_POST
@may("book_clinics")
def families(request: HttpRequest, pk: int) -> HttpResponse:
    """Open or stop registering."""
    clinic = get_object_or_404(Clinic, pk=pk)
    open_it = request.POST.get("open") == "yes"
    try:
        row = take_families(clinic=clinic, open_it=open_it, now=clock.now())
        words = gettext("Families can register for this clinic now.")
        if row.status != Status.CONFIRMED:
            words = gettext("Families can register for this clinic once it’s confirmed.")
        if not open_it:
            words = gettext("Registration is closed. You can still give a spot from a child’s page.")
        messages.success(request, words)
    except Refusal as refusal:
        messages.error(request, str(refusal))
    return redirect("clinic", pk)
