"""Where centers are, and from which areas volunteers come. Nothing is asked of another site."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from clinics.queries.map import centers_map
from core.access import may
from core.parsing import row_number


@require_safe
@may("see_centers")
def center_map(request: HttpRequest) -> HttpResponse:
    chosen = row_number(request.GET.get("center", ""))
    page = centers_map(chosen, with_people=request.user.has_perm("people.see_volunteers"))
    context = {
        "here": "centers",
        "page": page,
        "may_keep": request.user.has_perm("people.keep_centers"),
        "may_see_people": request.user.has_perm("people.see_volunteers"),
    }
    return render(request, "clinics/center_map.html", context)
