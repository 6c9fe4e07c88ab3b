"""What families' papers need of the office."""

from collections.abc import Iterator
from datetime import date

from django.urls import reverse

from clinics.needs import Need
from families.queries.waiver_texts import current_is_placeholder

__all__ = ["waiver_text_needs"]


def waiver_text_needs(today: date) -> Iterator[Need]:
    if current_is_placeholder():
        yield Need(
            day=today,
            rank=0,
            headline="Guardians sign an example text",
            detail="The waiver in force came with the program. It must be replaced by one from a licensed lawyer.",
            action_label="Put your text in its place",
            action_href=reverse("waivers"),
            right="keep_waivers",
        )
