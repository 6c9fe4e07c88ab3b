"""Why somebody can't open a clinic's sign-in sheet, and who can help."""

from zoneinfo import ZoneInfo

from django.utils.translation import gettext

from core.formats import listed, long_day
from families.rules.door import Leading

__all__ = ["door_words"]


def door_words(bar: str, leading: Leading, tz: ZoneInfo, office: str) -> str:
    """Say why not, by the code of ``families.rules.door``. ``office``: its phone number, or ""."""
    call = gettext("Call our office at %(phone)s.") % {"phone": office} if office else gettext("Ask our office.")
    if bar == "too early":
        opens_at = leading.opens_at.astimezone(tz)
        words = gettext("You can open this starting on %(day)s. If you need it before then: %(call)s")
        return words % {"day": long_day(opens_at.date()), "call": call}
    if bar == "closed":
        words = gettext("This clinic’s day is closed, so its lead can no longer open this. If you need it: %(call)s")
        return words % {"call": call}
    if not leading.who:
        words = gettext(
            "Only this clinic’s lead and our office can open this. No lead has accepted yet. If you’re standing in for "
            "the lead, our office can record that. %(call)s"
        )
        return words % {"call": call}
    words = gettext(
        "Only this clinic’s lead (%(names)s) and our office can open this. If you’re standing in for the lead, our "
        "office can record that. %(call)s"
    )
    return words % {"names": listed(leading.who), "call": call}
