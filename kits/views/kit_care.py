"""Upkeep of kits: checks, counts, damage and loss, the code on the bag and its label."""

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.text import capfirst
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core import clock
from core.access import may
from core.refusal import Refusal
from kits.forms.kit_care import CountForm, LossForm
from kits.forms.kits import KitCodeForm
from kits.models import Kit, KitCheck, KitLoss
from kits.queries.condition import kit_by_code
from kits.services import kit_care
from kits.views.kit_code import code_picture
from kits.words.items import loss_words
from people.access import account


@require_safe
@may("keep_kits")
def kit_code(request: HttpRequest) -> HttpResponse:
    """From the code typed to the page where the bag is handed over."""
    form = KitCodeForm(request.GET if "code" in request.GET else None)
    if form.is_bound and form.is_valid():
        kit = kit_by_code(form.number, form.own)
        if kit is not None:
            return redirect("kit-move", kit.pk)
        form.add_error(
            "code",
            gettext(
                "We don’t have a kit with this code. It may belong to another organization. "
                "Check the name on the label."
            ),
        )
    context = {"here": "kits", "form": form}
    return render(request, "kits/kit_code.html", context, status=422 if form.errors else 200)


@require_safe
@may("see_kits")
def kit_labels(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """Labels to print: of one kit, or of all."""
    kits = [get_object_or_404(Kit, pk=pk)] if pk is not None else list(Kit.objects.all())
    labels = [(kit, code_picture(kit)) for kit in kits]
    context = {"here": "kits", "labels": labels, "one": kits[0] if pk is not None else None}
    context["phone"] = settings.ORGANISATION_PHONE
    return render(request, "kits/kit_labels.html", context)


@require_POST
@may("keep_kits")
def kit_check(request: HttpRequest, pk: int) -> HttpResponse:
    kit = get_object_or_404(Kit, pk=pk)
    try:
        row = kit_care.record_check(
            kit=kit, what=request.POST.get("what", ""), today=clock.today(), by=account(request), now=clock.now()
        )
        messages.success(
            request,
            gettext("Recorded for %(kit)s: %(check)s, done today.") % {"kit": kit, "check": row.get_what_display()},
        )
    except Refusal as refusal:
        messages.error(request, str(refusal))
    return redirect("kit", pk)


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_kits")
def kit_count(request: HttpRequest, pk: int) -> HttpResponse:
    kit = get_object_or_404(Kit, pk=pk)
    form = CountForm(request.POST if request.method == "POST" else None, kit=kit)
    if request.method == "POST" and form.is_valid():
        try:
            row = kit_care.count_kit(
                kit=kit, counted=form.counted(), today=clock.today(), by=account(request), now=clock.now()
            )
        except Refusal as refusal:
            refusal.show_on(form)
        else:
            saved = gettext("Count saved for %(kit)s. Everything is here.")
            if row.words:
                saved = gettext("Count saved for %(kit)s. %(found)s.")
            messages.success(request, saved % {"kit": kit, "found": capfirst(row.words)})
            return redirect("kit", pk)
    context = {"here": "kits", "kit": kit, "form": form, "what": KitCheck.What.COUNT}
    return render(request, "kits/kit_count.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_kits")
def kit_loss(request: HttpRequest, pk: int) -> HttpResponse:
    kit = get_object_or_404(Kit, pk=pk)
    start = {"happened_on": clock.today(), "item": request.GET.get("item", ""), "how": KitLoss.How.LOST}
    form = LossForm(request.POST if request.method == "POST" else None, kit=kit, initial=start)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            row = kit_care.record_loss(
                **{name: data[name] for name in ("item", "count", "how", "happened_on", "clinic", "words")},
                today=clock.today(),
                by=account(request),
                now=clock.now(),
            )
        except Refusal as refusal:
            refusal.show_on(form)
        else:
            messages.success(request, gettext("Report saved: %(loss)s.") % {"loss": loss_words(row)})
            return redirect("kit", pk)
    context = {"here": "kits", "kit": kit, "form": form}
    return render(request, "kits/kit_loss.html", context, status=422 if form.errors else 200)


@require_POST
@may("keep_kits")
def kit_loss_right(request: HttpRequest, pk: int) -> HttpResponse:
    loss = get_object_or_404(KitLoss.objects.select_related("item"), pk=pk)
    try:
        row = kit_care.put_right(
            loss=loss, righted=request.POST.get("righted", ""), by=account(request), now=clock.now()
        )
        messages.success(
            request,
            gettext("%(loss)s: now marked as %(righted)s.")
            % {"loss": loss_words(row), "righted": row.get_righted_display()},
        )
    except Refusal as refusal:
        messages.error(request, str(refusal))
    return redirect("kit", loss.item.kit_id)
