"""The admin's rules for the door."""

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from core import clock
from core.access import may
from core.theme import render_at
from floor.models import DoorPolicy
from floor.services.door_policy import set_door_policy
from people.access import account


class DoorPolicyForm(forms.ModelForm):
    class Meta:
        model = DoorPolicy
        fields = ["sign_on_phone", "sign_on_paper"]


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_policy")
def door_policy(request: HttpRequest) -> HttpResponse:
    """How a child without a current waiver may come in."""
    row = DoorPolicy.now()
    form = DoorPolicyForm(request.POST if request.method == "POST" else None, instance=row)
    if request.method == "POST" and form.is_valid():
        set_door_policy(**form.cleaned_data, by=account(request), now=clock.now())
        messages.success(request, gettext("Saved. Floor pages get this rule the next time they have signal."))
        return redirect("door-policy")
    context = {"here": "policy", "form": form, "row": row}
    return render_at(clock.home_zone(), request, "floor/door_policy.html", context, status=422 if form.errors else 200)
