"""Kit types: what each requires per child."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.text import capfirst
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_safe

from core.access import may
from core.saving import saved_with_rows
from kits.forms.kit_kinds import KindLines, KitKindForm
from kits.models import KitKind
from kits.rules.pack_list import asked, spread_ages


@require_safe
@may("see_kits")
def kit_kinds(request: HttpRequest) -> HttpResponse:
    kinds = []
    for kind in KitKind.objects.prefetch_related("lines", "kits"):
        ages = spread_ages([(kind.youngest, kind.oldest, kind.children)])
        kinds.append((kind, asked(kind.asks(), ages, stem=True)))
    context = {"here": "kits", "kinds": kinds, "may_keep": request.user.has_perm("people.keep_kits")}
    return render(request, "kits/kit_kinds.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_kits")
def kit_kind_new(request: HttpRequest) -> HttpResponse:
    return _form(request, None, gettext("Add a kit type"))


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_kits")
def kit_kind_change(request: HttpRequest, pk: int) -> HttpResponse:
    kind = get_object_or_404(KitKind, pk=pk)
    return _form(request, kind, gettext("Edit %(kind)s") % {"kind": kind})


def _form(request: HttpRequest, kind: KitKind | None, heading: str) -> HttpResponse:
    data = request.POST if request.method == "POST" else None
    form, lines = KitKindForm(data, instance=kind), KindLines(data, instance=kind, prefix="lines")
    saved = saved_with_rows(form, lines) if data is not None and form.is_valid() and lines.is_valid() else None
    if saved is not None:
        messages.success(
            request,
            gettext("%(kind)s saved. Kits of this type will be checked against it.") % {"kind": capfirst(saved.name)},
        )
        return redirect("kit-kinds")
    context = {"here": "kits", "form": form, "lines": lines, "heading": heading}
    wrong = data is not None
    return render(request, "kits/kit_kind_form.html", context, status=422 if wrong else 200)
