"""Heat and lightning for a clinic outdoors. Asks and answers; changes nothing."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from clinics.forms.outdoors import HeatForm
from clinics.rules.heat import heat_class, heat_index
from clinics.words.heat import heat_words
from core.access import may

DEGREES = range(80, 105, 4)
HUMIDITY = range(40, 101, 10)


@require_safe
@may("see_clinics")
def outdoors(request: HttpRequest) -> HttpResponse:
    form = HeatForm(request.GET if "fahrenheit" in request.GET else None)
    index = code = None
    if form.is_bound and form.is_valid():
        index = heat_index(form.cleaned_data["fahrenheit"], form.cleaned_data["humidity"])
        code = heat_class(index)
    cells = [[heat_index(degrees, humidity) for humidity in HUMIDITY] for degrees in DEGREES]
    rows = [
        (degrees, [(round(value), heat_words(heat_class(value))) for value in line])
        for degrees, line in zip(DEGREES, cells, strict=True)
    ]
    context = {
        "here": "clinics",
        "form": form,
        "index": index,
        "code": code,
        "word": heat_words(code) if code else "",
        "warn": code in ("danger", "extreme danger"),
        "humidity": list(HUMIDITY),
        "rows": rows,
    }
    return render(request, "clinics/outdoors.html", context, status=422 if form.errors else 200)
