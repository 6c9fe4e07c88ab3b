"""What a service's "no" says to a guardian, in their language."""

from django.conf import settings
from django.forms import BaseForm
from django.utils.translation import gettext

from core.refusal import Refusal

__all__ = ["refusal_words", "show_refusal"]


def refusal_words(refusal: Refusal) -> list[tuple[str | None, str]]:
    """Field and sentence of every reason. The service's own sentences are English; these are for the page."""
    phone = {"phone": settings.ORGANISATION_PHONE}
    known = {
        "gone": gettext("The time to answer has passed, and the spot went to another child."),
        "cancelled": gettext("This clinic is cancelled."),
        "over": gettext("This clinic is over, so its spots can’t be changed."),
        "care changed": gettext(
            "Someone changed this after you opened the page. The current version is below. Combine the two and save "
            "again."
        ),
        "not open": gettext("This clinic isn’t open for registration."),
        "too late": gettext("This clinic has started, so registration is closed."),
        "too young": gettext("Your child will be too young for this clinic that day."),
        "too old": gettext("Your child will be too old for this clinic that day."),
        "between": gettext("Your child’s age that day falls between this clinic’s age groups."),
        "not signed": gettext("Type your name below the waiver to sign it."),
        "text changed": gettext("The waiver changed after you opened this page. Please read it and sign again."),
        "not born": gettext("That date is in the future. Check the date of birth."),
        "grown up": gettext("Check the date of birth. Our clinics are for ages 18 and under."),
        "has spots": gettext(
            "Your child has an upcoming clinic, and the date of birth sets the age group. Call us at %(phone)s to "
            "change it."
        )
        % phone,
        "no way to reach": gettext("Enter an email or a phone number."),
        "taken": gettext("Someone else already uses that email. Enter another one, or call us at %(phone)s.") % phone,
    }
    call = gettext("You can’t do this online. Please call us at %(phone)s.") % phone
    return [(reason.field, known.get(reason.code, call)) for reason in refusal.reasons]


def show_refusal(refusal: Refusal, form: BaseForm) -> None:
    """Each sentence beside its field, so that what was typed stays."""
    for field, words in refusal_words(refusal):
        form.add_error(field if field in form.fields else None, words)
