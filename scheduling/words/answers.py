"""What a center said of a request for a space, told to the office."""

from django.utils.translation import gettext

from scheduling.models import Answer, Booking

__all__ = ["answer_told", "why_no_space"]


def answer_told(center: str, booking: Booking) -> str:
    facts = {"center": center, "answer": booking.get_answer_display(), "words": booking.answer_words}
    if booking.answer_words:
        return gettext("%(center)s answered: %(answer)s, “%(words)s”") % facts
    return gettext("%(center)s answered: %(answer)s") % facts


def why_no_space(last: Booking | None) -> str:
    """Say why a clinic has no space; ``last`` is its latest reservation, which is over, if it ever had one."""
    if last is None:
        return gettext("No space is reserved.")
    facts = {"space": last.space.name, "words": last.answer_words}
    if last.answer != Answer.NOT_POSSIBLE:
        return gettext("No space is reserved. We released %(space)s.") % facts
    if last.answer_words:
        return gettext("No space is reserved. %(space)s isn’t available: “%(words)s”") % facts
    return gettext("No space is reserved. %(space)s isn’t available.") % facts
