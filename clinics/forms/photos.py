"""A photo of a space."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout, Submit
from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from clinics.rules.pictures import MOST_PHOTO_BYTES, Photo, make_photo
from clinics.words.files import file_words
from core.rules.refused import Refused

__all__ = ["PhotoForm"]


class PhotoForm(forms.Form):
    file = forms.FileField(
        label=_("Photo"),
        allow_empty_file=True,
        help_text=_(
            "A JPEG, PNG, or WebP, up to 10 MB, with no people in it. We remove the location and date from the file."
        ),
        error_messages={"required": _("Choose a photo.")},
    )
    alt = forms.CharField(
        label=_("What it shows"),
        max_length=160,
        help_text=_("For people who can’t see it. Example: six hoops, doors on the left."),
        error_messages={"required": _("Describe the photo in a few words.")},
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.helper = FormHelper()
        self.helper.layout = Layout("file", "alt", Submit("save", gettext("Add the photo")))

    def clean_file(self) -> Photo:
        # One byte more than is allowed says that it is too large, whatever the browser said.
        raw = self.cleaned_data["file"].read(MOST_PHOTO_BYTES + 1)
        try:
            return make_photo(raw)
        except Refused as problem:
            raise forms.ValidationError(file_words(problem)) from problem
