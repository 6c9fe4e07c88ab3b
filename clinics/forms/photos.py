"""A photo of a space."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout, Submit
from django import forms

from clinics.rules.pictures import MOST_PHOTO_BYTES, Photo, make_photo

__all__ = ["PhotoForm"]


class PhotoForm(forms.Form):
    file = forms.FileField(
        label="Photo",
        allow_empty_file=True,
        help_text="A JPEG, PNG or WebP of at most 10 MB, nobody on it. Where and when it was taken is not kept.",
        error_messages={"required": "Choose a photo."},
    )
    alt = forms.CharField(
        label="What it shows",
        max_length=160,
        help_text="For whoever can't see it, such as: six hoops, doors on the left.",
        error_messages={"required": "Say in a few words what the photo shows."},
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.helper = FormHelper()
        self.helper.layout = Layout("file", "alt", Submit("save", "Add the photo"))

    def clean_file(self) -> Photo:
        # One byte more than is allowed says that it is too large, whatever the browser said.
        raw = self.cleaned_data["file"].read(MOST_PHOTO_BYTES + 1)
        try:
            return make_photo(raw)
        except ValueError as problem:
            raise forms.ValidationError(str(problem)) from problem
