"""Why a file that someone uploads can't be used, and what of a calendar file is skipped."""

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from core.rules.refused import Reason, Refused

__all__ = ["file_words", "skipped_words"]

FILES = {
    "empty photo": _("This file is empty. Choose the photo again."),
    "large photo": _("This photo is over 10 MB. Save a smaller copy: 1600 pixels wide is enough."),
    "damaged photo": _("This photo is damaged. Choose another, or take it again."),
    "damaged picture": _("This picture is damaged. Choose another, or scan the document again."),
    "no photo": _("We can’t read this photo. Choose a JPEG, PNG, or WebP."),
    "pixels": _("This picture has more than %(millions)d million pixels. Save a smaller copy."),
    "empty document": _("This file is empty. Choose the file again, or scan the document again."),
    "large document": _("This file is over 5 MB. Scan it in gray or save a smaller copy."),
    "incomplete pdf": _("This PDF is incomplete. Save or download it again, then upload it."),
    "not as named": _("This file’s name says %(kind)s, but it isn’t one. Open it and save it as a PDF."),
    "no document": _("Choose a PDF, or a photo of the document as JPEG or PNG."),
    "large calendar": _("This file is over 1 MB. Export just the closed days and upload again."),
    "no calendar": _("This is not a calendar file (.ics). Choose the center’s calendar file."),
    "many events": _("This file has more than %(most)d events. Export just the closed days and upload again."),
}

# Events of a calendar file that close no day.
SKIPPED = {
    "not all day": _("%(name)s is not an all-day event."),
    "cancelled": _("%(name)s is cancelled in the file."),
    "repeats": _("%(name)s is a repeating event. Add those days by hand."),
    "backwards": _("%(name)s ends before it starts."),
}


def file_words(problem: Refused) -> str:
    return " ".join(str(FILES[one.code]) % one.facts for one in problem.reasons)


def skipped_words(reason: Reason) -> str:
    name = reason.facts["name"] or gettext("An event")
    return str(SKIPPED[reason.code]) % {"name": name}
