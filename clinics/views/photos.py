"""Photos of a space: adding, removing, showing them to who is logged in."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from clinics.forms.photos import PhotoForm
from clinics.models import Space, SpacePhoto
from clinics.services.photos import MOST_PHOTOS, add_photo, remove_photo
from core import clock
from core.access import may
from core.refusal import Refusal
from people.access import account


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_centers")
def space_photos(request: HttpRequest, pk: int) -> HttpResponse:
    space = get_object_or_404(Space.objects.select_related("center"), pk=pk)
    form = PhotoForm(*((request.POST, request.FILES) if request.method == "POST" else ()))
    if form.is_bound and form.is_valid():
        data = form.cleaned_data
        try:
            add_photo(space=space, photo=data["file"], alt=data["alt"], by=account(request), now=clock.now())
        except Refusal as refusal:
            refusal.show_on(form)
        else:
            messages.success(request, gettext("Photo added."))
            return redirect("space-photos", pk)
    context = {
        "here": "centers",
        "space": space,
        "rows": space.photos.all(),
        "most": MOST_PHOTOS,
        "form": form,
    }
    return render(request, "clinics/space_photos.html", context, status=422 if form.errors else 200)


@require_POST
@may("keep_centers")
def photo_remove(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(SpacePhoto, pk=pk)
    remove_photo(photo=row)
    messages.success(request, gettext("Photo removed."))
    return redirect("space-photos", row.space_id)


@require_safe
@may("see_centers")
def photo(_request: HttpRequest, pk: int) -> HttpResponse:
    return _jpeg(get_object_or_404(SpacePhoto.objects.defer(None).only("large"), pk=pk).large)


@require_safe
@may("see_centers")
def photo_small(_request: HttpRequest, pk: int) -> HttpResponse:
    return _jpeg(get_object_or_404(SpacePhoto.objects.defer(None).only("small"), pk=pk).small)


def _jpeg(kept: bytes | memoryview) -> HttpResponse:
    """Always a JPEG, since we made it; a browser keeps it a while, a cache between us never."""
    answer = HttpResponse(bytes(kept), content_type="image/jpeg")
    answer.headers["X-Content-Type-Options"] = "nosniff"
    answer.headers["Content-Security-Policy"] = "sandbox; default-src 'none'"
    answer.headers["Cache-Control"] = "private, max-age=3600"
    return answer
