"""Duties: the six to start from, and what an admin adds."""

from datetime import datetime

from django.db import IntegrityError, transaction
from django.utils.text import slugify
from django.utils.translation import gettext

from core import clock
from core.refusal import Refusal
from people.models import ClearanceKind, Duty, DutyBook, PolicyRow
from people.queries.standing import dated_rows
from people.rules.policy import in_force

__all__ = ["add_duty", "ensure_duties"]

# code: name, question, who is missing, letter, counts as an adult, filled in this order (common practice, no source:
# nobody takes charge or nobody treats an injury is worse than one coach fewer).
STARTER: dict[str, tuple[str, str, str, str, bool, int]] = {
    "lead": ("lead", "lead", "", "L", True, 10),
    "first_aider": ("first aider", "be the first aider", "", "F", True, 20),
    "coach": ("coach", "coach", "", "C", True, 30),
    "door": ("door", "sign children in and out", "door adult", "D", True, 40),
    "stem_lead": ("STEM lead", "lead the STEM activity", "", "S", True, 50),
    "helper": ("helper", "help", "", "H", False, 90),
}


def ensure_duties() -> None:
    """Write those duties that the program asks for by name and that are missing; never changes one that is there."""
    Duty.objects.bulk_create(
        (
            Duty(code=code, name=name, ask=ask, missing=missing, letter=letter, counts=counts, rank=rank)
            for code, (name, ask, missing, letter, counts, rank) in STARTER.items()
        ),
        ignore_conflicts=True,
    )
    DutyBook.forget()


@transaction.atomic
def add_duty(*, duty: Duty, like: str, now: datetime) -> Duty:
    """Add a duty: 1 give it a code, 2 save it, 3 require for it from today what ``like`` requires, at every place too.

    A new duty never starts without requirements: somebody without any clearance would have standing for it.
    """
    duty.code = slugify(duty.name).replace("-", "_")[:20]
    if not duty.code:
        raise Refusal.because("no code", gettext("Enter a name that has letters in it."), "name")
    try:
        with transaction.atomic():
            duty.save()
    except IntegrityError as problem:
        there = gettext("There’s already a duty with that name. Enter another name.")
        raise Refusal.because("duty there", there, "name") from problem
    today = now.astimezone(clock.home_zone()).date()
    kinds = {kind.code: kind for kind in ClearanceKind.objects.all()}
    known = dated_rows()
    for place in sorted({dated.place for dated in known}):
        here = [dated for dated in known if dated.place == place]
        PolicyRow.objects.bulk_create(
            PolicyRow(
                duty_id=duty.code,
                kind=kinds[row.kind],
                place=place,
                from_day=today,
                months=row.months,
                notice_days=row.notice_days,
                overlap=row.overlap,
            )
            for row in in_force(here, today, place).get(like, [])
        )
    DutyBook.forget()
    return duty
