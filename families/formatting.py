"""What a service's "no" says to a guardian, in their language."""

from django.conf import settings
from django.forms import BaseForm
from django.utils.translation import gettext

from core.refusal import Refusal

__all__ = ["refusal_words", "show_refusal"]


def refusal_words(refusal: Refusal) -> list[tuple[str | None, str]]:
    """Field and sentence of every reason. The service's own sentences are English; these are for the page."""
    known = {
        "gone": gettext("The time to answer is over and the place has gone to another child."),
        "cancelled": gettext("This clinic is cancelled."),
        "over": gettext("This clinic is over, so its places stay as they were."),
        "care changed": gettext(
            "Somebody has changed this since you opened the page. Below is what is written now: write both "
            "together and save it again."
        ),
        "not open": gettext("Families can’t register for this clinic."),
        "too late": gettext("This clinic has begun, so nobody can register for it any more."),
        "too young": gettext("On that day the child is too young for this clinic."),
        "too old": gettext("On that day the child is too old for this clinic."),
        "between": gettext("On that day the child’s age is between the groups of this clinic."),
        "not signed": gettext("Type your name under the text to sign it."),
        "text changed": gettext("The text has changed since you opened this page. Please read it and sign it again."),
        "not born": gettext("That day has not come yet. Check the date of birth."),
        "grown up": gettext("Check the date of birth: with us a child is at most 18."),
        "has places": gettext(
            "The date of birth decides the group of a place that is coming. Telephone us to correct it."
        ),
        "no way to reach": gettext("Give a mail address or a telephone."),
        "taken": gettext("Somebody else here has that address. Give another, or telephone us."),
    }
    call = gettext("We can’t do this here. Please telephone us: %(phone)s.") % {"phone": settings.ORGANISATION_PHONE}
    return [(reason.field, known.get(reason.code, call)) for reason in refusal.reasons]


def show_refusal(refusal: Refusal, form: BaseForm) -> None:
    """Each sentence beside its field, so that what was typed stays."""
    for field, words in refusal_words(refusal):
        form.add_error(field if field in form.fields else None, words)
