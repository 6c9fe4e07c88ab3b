"""The shifts that a clinic asks for: by the published tables that it follows, and by hand where that is more."""

from collections import Counter
from dataclasses import dataclass, field

from django.db import transaction

from clinics.models import Clinic, HandNeed
from core.refusal import Reason, Refusal
from people.models import duties
from shifts.models import Shift
from shifts.queries.shift_needs import needed_by_tables, needed_for, shift_count

__all__ = ["Difference", "difference_since", "fit_shifts", "set_hand_needs"]

MOST_BY_HAND = 60


@dataclass
class Difference:
    """What a change of the needs did to the shifts, by duty. ``kept``: no longer needed, but somebody is on it."""

    added: Counter[str] = field(default_factory=Counter)
    removed: Counter[str] = field(default_factory=Counter)
    kept: Counter[str] = field(default_factory=Counter)

    def words(self) -> str:
        """2 more coaches are asked for; 1 door shift is no longer needed and stays, since somebody is on it."""
        book, parts = duties(), []
        for duty, count in self.added.items():
            parts.append(f"{count} more {book.name(duty)} shift{'s are' if count > 1 else ' is'} asked for")
        for duty, count in self.removed.items():
            parts.append(f"{count} {book.name(duty)} shift{'s are' if count > 1 else ' is'} no longer needed")
        for duty, count in self.kept.items():
            many = count > 1
            parts.append(
                f"{count} {book.name(duty)} shift{'s are' if many else ' is'} more than needed and "
                f"stay{'' if many else 's'}, since somebody was asked"
            )
        return "; ".join(parts)


def difference_since(clinic: Clinic, before: Counter[str]) -> Difference:
    """Compare the clinic's shifts with the counts ``before``, and say which are more than is needed now."""
    fresh = Clinic.objects.select_related("center").prefetch_related("bands", "hand_needs").get(pk=clinic.pk)
    after = shift_count(clinic)
    return Difference(after - before, before - after, after - needed_for(fresh))


@transaction.atomic
def set_hand_needs(*, clinic: Clinic, people: dict[str, int]) -> None:
    """Ask for more people of a duty than the tables do, or for other duties: 1 check, 2 write, 3 fit the shifts.

    Raises Refusal "no such duty", "too few" (fewer than the tables ask) or "too many", each at its duty.
    """
    locked = Clinic.objects.locked(clinic.pk)
    least, known = needed_by_tables(locked), duties().codes
    reasons = []
    for duty, count in people.items():
        name = duties().name(duty)
        if duty not in known:
            reasons.append(Reason("no such duty", "Choose a duty from the list.", duty))
        elif count < least[duty]:
            words = f"The table asks for {least[duty]} as {name}: give that or more, or change the children expected."
            reasons.append(Reason("too few", words, duty))
        elif count > MOST_BY_HAND:
            reasons.append(Reason("too many", f"At most {MOST_BY_HAND} people of one duty.", duty))
    if reasons:
        raise Refusal(*reasons)
    HandNeed.objects.filter(clinic=locked).delete()
    HandNeed.objects.bulk_create(
        HandNeed(clinic=locked, duty_id=duty, people=count) for duty, count in people.items() if count > least[duty]
    )
    fit_shifts(locked)


def fit_shifts(clinic: Clinic) -> None:
    """Add the shifts that are missing and take away surplus ones that nobody was asked for.

    An asked or accepted person is never removed here: a surplus shift with somebody in it stays.
    Must run inside the transaction that changed the clinic.
    """
    fresh = Clinic.objects.select_related("center").prefetch_related("bands", "hand_needs").get(pk=clinic.pk)
    needed = needed_for(fresh)
    shifts = list(Shift.objects.filter(clinic=clinic).order_by("-position"))
    taken = set(Shift.objects.filter(clinic=clinic, assignments__isnull=False).values_list("pk", flat=True))
    surplus = Counter(shift.duty_id for shift in shifts) - needed
    for shift in shifts:
        if surplus[shift.duty_id] > 0 and shift.pk not in taken:
            surplus[shift.duty_id] -= 1
            shift.delete()
    have = Counter(Shift.objects.filter(clinic=clinic).values_list("duty__code", flat=True))
    position = max((shift.position for shift in shifts), default=0)
    missing = needed - have
    for duty in needed.elements():
        if missing[duty] > 0:
            missing[duty] -= 1
            position += 1
            Shift.objects.create(clinic=clinic, duty_id=duty, position=position)
