"""Two records of one volunteer become one."""

from collections.abc import Sequence
from datetime import datetime

from django.db import IntegrityError, transaction
from django.utils.translation import gettext

from core.hooks import within
from core.merge import Forgotten, Key, Merged, declared, history_of, merge_rows, settled
from core.refusal import Refusal
from people import hooks
from people.models import AddressChange, Application, Clearance, Volunteer

__all__ = ["merge_volunteers", "own_keys"]


@transaction.atomic
def merge_volunteers(*, keep: Volunteer, other: Volunteer, now: datetime) -> Volunteer:
    """Merge two records of one person, with nothing lost: 1 lock, 2 move what is the other's, 3 remove the other.

    It locks in the usual order, what stands above people first. Raises Refusal "two places" when the two are down for
    two clinics at one time, since one of the records must then be somebody else's.
    """
    if keep.pk == other.pk:
        raise Refusal.because("same record", gettext("Choose a different record to merge."))
    pks = [keep.pk, other.pk]
    with within(hooks.hold_for_merge.ask(pks, now)):
        locked = Volunteer.objects.select_for_update(no_key=True).filter(pk__in=pks).order_by("pk")
        rows = {row.pk: row for row in locked}
        if len(rows) < len(pks):
            raise Refusal.because("same record", gettext("These records are already merged."))
        kept, gone = rows[keep.pk], rows[other.pk]
        # A new address that was never confirmed is asked for again; the answered ones are part of the story.
        AddressChange.objects.filter(volunteer=gone, confirmed_at__isnull=False).update(volunteer=kept)
        hooks.settle_two.ask(gone, kept, now)
        _facts(gone, kept)
        try:
            with transaction.atomic():
                merge_rows(gone=gone, kept=kept, but=settled(declared(hooks.volunteer_keys)))
        except IntegrityError as problem:
            words = gettext(
                "%(kept)s and %(other)s are scheduled at two clinics at the same time, so they can’t be merged. "
                "Fix one of the shifts first."
            )
            raise Refusal.because("two places", words % {"kept": kept, "other": other}) from problem
        kept.save()
    return kept


def own_keys() -> Sequence[Key]:
    """Answers ``people.hooks.volunteer_keys`` for the tables of people, and for the notes to them."""
    return (
        Key(AddressChange, "volunteer", Merged.SETTLED, Forgotten.GOES),
        Key(Application, "volunteer", Merged.MOVES, Forgotten.GOES),
        Key(Clearance, "volunteer", Merged.MOVES, Forgotten.GOES),
        Key(history_of(Clearance), "volunteer", Merged.MOVES, Forgotten.GOES),
    )


def _facts(gone: Volunteer, kept: Volunteer) -> None:
    if kept.adult:
        kept.duties = list(dict.fromkeys([*kept.duties, *gone.duties]))
    kept.phone = kept.phone or gone.phone
    kept.home_area = kept.home_area or gone.home_area
    if kept.home is None:
        kept.latitude, kept.longitude = gone.latitude, gone.longitude
    kept.reminders = kept.reminders and gone.reminders
