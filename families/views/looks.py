"""What somebody looks like who must not pick up a child: the office's form, and the photo."""

import base64

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from core.access import may
from families.forms.child import LooksForm
from families.models import PickupPerson
from families.services.looks import change_looks


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_children")
def change(request: HttpRequest, pk: int, pickup_person: int) -> HttpResponse:
    row = _kept_away(pk, pickup_person)
    sent = (request.POST, request.FILES) if request.method == "POST" else ()
    form = LooksForm(*sent, initial={"description": row.description}, has_photo=row.has_photo)
    if form.is_bound and form.is_valid():
        said = form.cleaned_data
        change_looks(
            pickup_person=row,
            description=said["description"],
            photo=said["photo"],
            remove_photo=said.get("remove_photo", False),
        )
        messages.success(request, _("Saved. A floor page opened from now on shows it."))
        return redirect("child", pk)
    context = {
        "here": "children",
        "form": form,
        "heading": _("What %(name)s looks like") % {"name": row},
        "verb": _("Save photo and description"),
        "child": row.child,
    }
    return render(request, "families/child_form.html", context, status=422 if form.errors else 200)


@require_safe
@may("see_children")
def photo(_request: HttpRequest, pk: int, pickup_person: int) -> HttpResponse:
    """Always a JPEG, since we made it; no browser keeps it."""
    row = _kept_away(pk, pickup_person)
    if not row.has_photo:
        raise Http404
    answer = HttpResponse(base64.b64decode(row.photo), content_type="image/jpeg")
    answer.headers["X-Content-Type-Options"] = "nosniff"
    answer.headers["Content-Security-Policy"] = "sandbox; default-src 'none'"
    answer.headers["Cache-Control"] = "no-store"
    return answer


def _kept_away(child: int, pickup_person: int) -> PickupPerson:
    rows = PickupPerson.objects.in_force().filter(must_not=True, child_id=child).select_related("child")
    return get_object_or_404(
        rows.defer("child__allergies", "child__care_notes", "photo"), pk=pickup_person, child__forgotten_at=None
    )
