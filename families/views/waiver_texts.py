"""What guardians sign: versions, drafts, publishing."""

from dataclasses import asdict
from typing import Any

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core import clock
from core.access import may
from core.fields import DayField
from core.refusal import Refusal
from families.queries.waiver_texts import Version, versions
from families.services.waiver_texts import TextFacts, publish_version, write_draft

LONGEST = 20_000


class TextForm(forms.Form):
    title_en = forms.CharField(label=_("Title in English"), max_length=120)
    body_en = forms.CharField(label=_("Text in English"), max_length=LONGEST, widget=forms.Textarea(attrs={"rows": 14}))
    title_es = forms.CharField(label=_("Title in Spanish"), max_length=120, required=False)
    body_es = forms.CharField(
        label=_("Text in Spanish"), max_length=LONGEST, required=False, widget=forms.Textarea(attrs={"rows": 14})
    )
    months = forms.IntegerField(
        label=_("Valid for (months)"), min_value=1, max_value=36, initial=12,
        help_text=_("How long a signature on this version stays valid."),
    )  # fmt: skip
    season_ends = DayField(label=_("Or until this date"), required=False, help_text=_("Whichever comes first."))
    signs_anew = forms.BooleanField(
        label=_("Everyone must sign again"),
        required=False,
        help_text=_("Signatures on older versions will no longer be valid."),
    )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if bool(data.get("title_es")) != bool(data.get("body_es")):
            self.add_error("title_es", gettext("Enter both the title and the text in Spanish, or leave both empty."))
        return data


@require_safe
@may("keep_waivers")
def waiver_texts(request: HttpRequest) -> HttpResponse:
    found = versions()
    context = {
        "here": "children",
        "today": clock.today(),
        "versions": found,
        "draft": next((one for one in found if not one.published), None),
        "placeholder": any(one.current and one.placeholder for one in found),
    }
    return render(request, "families/waiver_texts.html", context)


@require_safe
@may("keep_waivers")
def waiver_version(request: HttpRequest, version: int) -> HttpResponse:
    context = {"here": "children", "today": clock.today(), "version": _version(version)}
    return render(request, "families/waiver_version.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_waivers")
def waiver_new(request: HttpRequest) -> HttpResponse:
    """A draft that begins with the words of the newest version."""
    newest = next(iter(versions()), None)
    return _form(request, None, TextForm(request.POST or None, initial=_initial(newest) if newest else None))


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_waivers")
def waiver_change(request: HttpRequest, version: int) -> HttpResponse:
    return _form(request, version, TextForm(request.POST or None, initial=_initial(_version(version))))


@require_POST
@may("keep_waivers")
def waiver_publish(request: HttpRequest, version: int) -> HttpResponse:
    _version(version)
    try:
        publish_version(version=version, today=clock.today(), now=clock.now())
        words = gettext("Version %(version)s is published. Guardians will sign this version from now on.")
        messages.success(request, words % {"version": version})
    except Refusal as refusal:
        messages.error(request, str(refusal))
    return redirect("waiver-version", version)


def _form(request: HttpRequest, version: int | None, form: TextForm) -> HttpResponse:
    if request.method == "POST" and form.is_valid():
        try:
            number = write_draft(facts=TextFacts(**form.cleaned_data), version=version)
            words = gettext("Draft of version %(version)s saved. No one can sign it until you publish it.")
            messages.success(request, words % {"version": number})
            return redirect("waiver-version", number)
        except Refusal as refusal:
            refusal.show_on(form)
    heading = (
        gettext("Edit draft version %(version)s") % {"version": version} if version else gettext("Add a new version")
    )
    context = {"here": "children", "form": form, "heading": heading, "version": version}
    return render(request, "families/waiver_form.html", context, status=422 if form.errors else 200)


def _initial(version: Version) -> dict[str, Any]:
    by_language = {text.language: text for text in version.texts}
    first, spanish = version.first, by_language.get("es")
    english = by_language.get("en", first)
    return asdict(
        TextFacts(
            months=first.months,
            season_ends=first.season_ends,
            signs_anew=first.signs_anew if not version.published else False,
            title_en=english.title,
            body_en=english.body,
            title_es=spanish.title if spanish else "",
            body_es=spanish.body if spanish else "",
        )
    )


def _version(number: int) -> Version:
    found = next((one for one in versions() if one.number == number), None)
    if found is None:
        raise Http404
    return found
