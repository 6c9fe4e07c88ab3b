"""The waiver as the phone shows it to a guardian at the door: each language of the text that is signed today."""

from typing import Any

from django.utils import translation
from django.utils.translation import gettext

from families.models import Waiver, WaiverText
from floor.models import DoorPolicy
from floor.rules.floor_log import FloorState

__all__ = ["door_policy_data", "waiver_data", "waivers_said"]


def waiver_data() -> list[dict[str, Any]]:
    """List the languages of the newest published version, English first, with the words that stand beside it."""
    published = list(WaiverText.objects.published().order_by("-version", "language"))
    return [_text(row) for row in published if row.version == published[0].version]


def _text(row: WaiverText) -> dict[str, Any]:
    with translation.override(row.language):
        words = {
            "language_name": row.get_language_display(),
            "for": gettext("Waiver for %(child)s"),
            "version": gettext("Version %(number)s"),
            "sign_here": gettext("Type your full name to sign"),
            "help": gettext("Your typed name is your signature."),
            "missing": gettext("Type your name below the waiver to sign it."),
            "press": gettext("Sign the waiver"),
            "back": gettext("Go back without signing"),
        }
    return {
        "language": row.language,
        "version": row.version,
        "title": row.title,
        "body": row.body,
        "words": words,
    }


def waivers_said(state: FloorState) -> dict[str, dict[str, str]]:
    """By the number at the door, how a waiver was signed there. One query, none where nobody signed on a phone.

    A signature on a phone counts only while it is in the books: its text may not be one that can be signed, and a
    guardian or the office may have withdrawn it since.
    """
    on_phone = [row.id for row in state.waivers.values() if row.facts["how"] == "phone"]
    books = Waiver.objects.in_force().filter(door_entry__in=on_phone).values_list("door_entry", flat=True)
    good = {str(number) for number in books} if on_phone else set()
    return {
        who: {"id": row.id, "how": str(row.facts["how"])}
        for who, row in state.waivers.items()
        if row.facts["how"] == "paper" or row.id in good
    }


def door_policy_data() -> dict[str, bool]:
    """What the admin lets a lead do about a missing waiver. One query."""
    row = DoorPolicy.now()
    return {"sign_on_phone": row.sign_on_phone, "sign_on_paper": row.sign_on_paper}
