"""What families' papers need of the office."""

from collections.abc import Iterator
from datetime import date

from django.urls import reverse
from django.utils.translation import gettext as _

from clinics.needs import Need
from families.queries.waiver_texts import current_is_placeholder

__all__ = ["waiver_text_needs"]


def waiver_text_needs(today: date) -> Iterator[Need]:
    if current_is_placeholder():
        yield Need(
            day=today,
            rank=0,
            headline=_("Guardians are signing a sample waiver"),
            detail=_(
                "The current waiver is the sample that came with the program. "
                "Replace it with one from a licensed lawyer."
            ),
            action_label=_("Add your waiver"),
            action_href=reverse("waivers"),
            right="keep_waivers",
        )
