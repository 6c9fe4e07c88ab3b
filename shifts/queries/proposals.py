"""What the pages of a proposal show."""

from dataclasses import dataclass, field
from datetime import datetime

from clinics.models import Clinic
from core import clock
from people.models import Volunteer, duties
from shifts.models import Proposal, ProposalLine
from shifts.queries.facts import clinics_between, gather
from shifts.queries.what_if import what_if_sentence, with_changes
from shifts.rules.matching import Placement, Plan
from shifts.rules.matching.near import why_not_asked
from shifts.words.plan import why_words

__all__ = ["ClinicLines", "Line", "WhyLine", "clinics_of", "lines_by_clinic", "what_if_sentences", "why_lines"]


@dataclass(frozen=True)
class Line:
    row: ProposalLine
    duty: str

    @property
    def can_be_taken(self) -> bool:
        kinds = ProposalLine.Kind
        return self.row.kind != kinds.UNTOUCHED and self.row.taken_at is None and self.row.shift_id is not None


@dataclass
class ClinicLines:
    clinic: Clinic
    lines: list[Line] = field(default_factory=list)
    untouched: int = 0


@dataclass(frozen=True)
class WhyLine:
    duty: str
    where: str
    reasons: list[str]


def clinics_of(proposal: Proposal, now: datetime) -> list[Clinic]:
    """The clinics that a proposal searches: those of its days, or its one clinic."""
    found = clinics_between(proposal.first_day, proposal.last_day, now)
    return [clinic for clinic in found if proposal.clinic_id in (None, clinic.pk)]


def lines_by_clinic(proposal: Proposal) -> list[ClinicLines]:
    """Group a proposal's changes by clinic, soonest first; unchanged lines are only counted. One query."""
    names = duties()
    by: dict[int, ClinicLines] = {}
    rows = proposal.lines.select_related("clinic__center", "volunteer", "was", "shift")
    for row in rows:
        group = by.setdefault(row.clinic_id, ClinicLines(row.clinic))
        if row.kind == ProposalLine.Kind.UNTOUCHED:
            group.untouched += 1
        else:
            group.lines.append(Line(row, names.name(row.duty)))
    return list(by.values())


def what_if_sentences(proposal: Proposal) -> list[str]:
    """Say each supposed change of the proposal in a sentence."""
    return [what_if_sentence(change) for change in proposal.what_if]


def why_lines(proposal: Proposal, volunteer: Volunteer, now: datetime) -> list[WhyLine]:
    """Say, as of now, why the proposal gives each shift of the volunteer's duties to somebody else or to nobody."""
    facts = with_changes(gather(clinics_of(proposal, now), now), proposal.what_if)
    placed = {row.shift_id: row.volunteer_id for row in proposal.lines.all() if row.shift_id and row.volunteer_id}
    known = {position.id for position in facts.positions}
    placements = {pk: Placement(pk, who, None, False) for pk, who in placed.items() if pk in known}
    unfilled = [pk for pk in known if pk not in placements]
    plan = Plan(placements, unfilled, [], "", 0.0, 0)
    person = next((one for one in facts.people if one.id == volunteer.pk), None)
    if person is None:
        return []
    by_id = {position.id: position for position in facts.positions}
    today = now.astimezone(clock.home_zone()).date()
    return [
        WhyLine(duties().name(by_id[pk].duty), by_id[pk].title, why_words(why, today))
        for pk, why in why_not_asked(person, facts.positions, facts.people, facts.options, plan)
    ]
