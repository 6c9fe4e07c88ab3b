"""The shifts that a clinic asks for: by the published tables that it follows, and by hand where that is more."""

from collections import Counter
from dataclasses import dataclass, field

from django.db import transaction
from django.utils.translation import gettext, ngettext

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
        """Say it: 2 more coach shifts are needed; 1 door shift is extra but stays because someone was already asked."""
        parts = []
        for duty, n in self.added.items():
            text = ngettext("%(n)d more %(duty)s shift is needed", "%(n)d more %(duty)s shifts are needed", n)
            parts.append(text % {"n": n, "duty": duties().name(duty)})
        for duty, n in self.removed.items():
            text = ngettext("%(n)d %(duty)s shift is removed", "%(n)d %(duty)s shifts are removed", n)
            parts.append(text % {"n": n, "duty": duties().name(duty)})
        for duty, n in self.kept.items():
            text = ngettext(
                "%(n)d %(duty)s shift is extra but stays because someone was already asked",
                "%(n)d %(duty)s shifts are extra but stay because someone was already asked",
                n,
            )
            parts.append(text % {"n": n, "duty": duties().name(duty)})
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
            reasons.append(Reason("no such duty", gettext("Choose a duty from the list."), duty))
        elif count < least[duty]:
            text = gettext("The table requires %(n)d as %(duty)s. Enter that many or more, or change the children.")
            reasons.append(Reason("too few", text % {"n": least[duty], "duty": name}, duty))
        elif count > MOST_BY_HAND:
            text = gettext("Enter up to %(n)d people for one duty.") % {"n": MOST_BY_HAND}
            reasons.append(Reason("too many", text, duty))
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
