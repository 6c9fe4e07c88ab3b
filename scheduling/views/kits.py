"""Kits: where each is, and recording a trip."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from config import clock
from config.access import may
from config.refusal import Refusal
from people.access import account
from scheduling.forms.kits import KitMoveForm
from scheduling.models import Kit
from scheduling.queries.kits import kit_lines, where_words
from scheduling.services.kits import move_kit


@require_safe
@may("see_kits")
def kit_list(request: HttpRequest) -> HttpResponse:
    lines = kit_lines(clock.now())
    return render(
        request,
        "scheduling/kits.html",
        {
            "here": "kits",
            "today": clock.today(),
            "lines": lines,
            "astray": sum(line.astray for line in lines),
            "may_keep": request.user.has_perm("people.keep_kits"),
        },
    )


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_kits")
def kit_move(request: HttpRequest, pk: int) -> HttpResponse:
    kit = get_object_or_404(Kit.objects.select_related("now_at"), pk=pk)
    # Nothing is filled in: the old place beside the new one would read as two places.
    form = KitMoveForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            kit = move_kit(
                kit=kit,
                to_center=data["now_at"],
                with_whom=data["with_whom"],
                by=account(request),
                now=clock.now(),
            )
        except Refusal as refusal:
            refusal.show_on(form)
        else:
            messages.success(request, f"{kit} is now {where_words(kit)}.")
            return redirect("kits")
    context = {"here": "kits", "kit": kit, "where": where_words(kit), "form": form}
    return render(request, "scheduling/kit_move.html", context, status=422 if form.errors else 200)
