"""The waiver as the phone shows it to a guardian at the door: each language of the text that is signed today."""

from typing import Any

from django.utils import translation
from django.utils.translation import gettext

from families.models import WaiverText
from floor.models import DoorPolicy

__all__ = ["door_policy_data", "waiver_data"]


def waiver_data() -> list[dict[str, Any]]:
    """List the languages of the newest published version, English first, with the words that stand beside it."""
    published = list(WaiverText.objects.published().order_by("-version", "language"))
    return [_text(row) for row in published if row.version == published[0].version]


def _text(row: WaiverText) -> dict[str, Any]:
    with translation.override(row.language):
        words = {
            "language_name": row.get_language_display(),
            "sign_here": gettext("Type your full name to sign"),
            "missing": gettext("Type your name below the waiver to sign it."),
            "press": gettext("Sign the waiver"),
        }
    return {
        "language": row.language,
        "version": row.version,
        "title": row.title,
        "body": row.body,
        "words": words,
    }


def door_policy_data() -> dict[str, bool]:
    """What the admin lets a lead do about a missing waiver. One query."""
    row = DoorPolicy.now()
    return {"sign_on_phone": row.sign_on_phone, "sign_on_paper": row.sign_on_paper}
