"""Who could take a shift, best first, and for everybody else the reason why not."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta

from clinics.models import Clinic
from people.models import Volunteer
from people.words.standing import worth_knowing
from shifts.models import Assignment, Shift
from shifts.queries.eligibility import gather
from shifts.rules.eligibility import Reason
from shifts.words.eligibility import words

__all__ = ["Candidate", "candidates"]

# Who said no once may be asked again by the office; the list says when they did and puts them last.
ASKED_AGAIN = "declined"


@dataclass(frozen=True)
class Candidate:
    volunteer: Volunteer
    km: float | None  # by road, estimated
    shifts_near: int  # accepted or asked within four weeks either side of the clinic
    against: tuple[Reason, ...]
    why_not: tuple[str, ...]
    worth_knowing: tuple[str, ...]
    declined_on: date | None

    @property
    def can(self) -> bool:
        return not self.against

    @property
    def rank(self) -> tuple[bool, int, bool, float, str]:
        """The sort key that puts the best first: no decline, fewest shifts lately, expires late, nearest, then by name.

        Fairness before distance keeps one near neighbour from being asked every week.
        """
        far = self.km if self.km is not None else 9999.0
        return (
            self.declined_on is not None,
            self.shifts_near,
            bool(self.worth_knowing),
            far,
            self.volunteer.name,
        )


def candidates(shift: Shift, today: date) -> list[Candidate]:
    """List everybody who holds the shift's duty, those who can take it first. Eleven queries, however many there are.

    ``shift`` needs ``clinic__center`` loaded.
    """
    clinic = shift.clinic
    people = list(Volunteer.objects.active().holding(shift.duty_id))
    facts = gather(people, shift.duty_id, clinic)
    near = _shifts_near(clinic)
    out = []
    for person in people:
        against = tuple(reason for reason in facts.against(person.pk) if reason.code != ASKED_AGAIN)
        standing = facts.book.on(person.pk, shift.duty_id, clinic.day, clinic.center.place)
        out.append(
            Candidate(
                volunteer=person,
                km=facts.people[person.pk].km,
                shifts_near=near.get(person.pk, 0),
                against=against,
                why_not=tuple(words(reason, today) for reason in against),
                worth_knowing=tuple(worth_knowing(standing, facts.book.kind_names, clinic.day)),
                declined_on=facts.declined.get(person.pk),
            )
        )
    return sorted(out, key=lambda c: (not c.can, *c.rank))


def _shifts_near(clinic: Clinic) -> dict[int, int]:
    span = (clinic.starts_at - timedelta(weeks=4), clinic.starts_at + timedelta(weeks=4))
    count: dict[int, int] = defaultdict(int)
    for volunteer_id in Assignment.objects.live().filter(period__overlap=span).values_list("volunteer_id", flat=True):
        count[volunteer_id] += 1
    return count
