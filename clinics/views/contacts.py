"""A center's contacts: who handles what."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_POST

from clinics.forms.contacts import ContactForm
from clinics.models import Center, CenterContact
from clinics.services.contacts import retire_contact, take_up_contact
from core.access import may
from core.refusal import Refusal
from core.saving import saved_or_refused


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_centers")
def center_contacts(request: HttpRequest, pk: int) -> HttpResponse:
    """All contacts, and a form for one more."""
    center = get_object_or_404(Center.objects.prefetch_related("contacts"), pk=pk)
    form = ContactForm(request.POST if request.method == "POST" else None, center=center)
    if request.method == "POST" and form.is_valid():
        saved = saved_or_refused(form)
        if saved is not None:
            done = gettext("%(name)s added as a contact at %(center)s.")
            messages.success(request, done % {"name": saved.name, "center": center.name})
            return redirect("center-contacts", pk)
    context = {"here": "centers", "center": center, "form": form, "rows": center.contacts.order_by("-active", "name")}
    return render(request, "clinics/center_contacts.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_centers")
def contact_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(CenterContact.objects.select_related("center"), pk=pk)
    form = ContactForm(request.POST if request.method == "POST" else None, instance=row, center=row.center)
    if request.method == "POST" and form.is_valid() and saved_or_refused(form) is not None:
        messages.success(request, gettext("%(name)s saved.") % {"name": row.name})
        return redirect("center-contacts", row.center_id)
    heading = gettext("Edit a contact at %(center)s") % {"center": row.center.name}
    context = {"here": "centers", "form": form, "heading": heading}
    return render(request, "clinics/center_form.html", context, status=422 if form.errors else 200)


@require_POST
@may("keep_centers")
def contact_retire(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(CenterContact, pk=pk)
    retire_contact(contact=row)
    done = gettext("%(name)s archived. The main contact now handles what no one else does.")
    messages.success(request, done % {"name": row.name})
    return redirect("center-contacts", row.center_id)


@require_POST
@may("keep_centers")
def contact_take_up(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(CenterContact, pk=pk)
    try:
        take_up_contact(contact=row)
        messages.success(request, gettext("%(name)s restored.") % {"name": row.name})
    except Refusal as refusal:
        messages.error(request, str(refusal))
    return redirect("center-contacts", row.center_id)
