"""Incidents after which something is left to do, and children who may not play yet. Never the words of a report."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date

from clinics.models import Clinic
from families.models import Child, Spot
from floor.models import Incident, IncidentFollowUp
from floor.rules.incidents import left_to_do
from people.rules.names import same_name

__all__ = ["FollowUpLine", "count_not_to_play", "follow_up_lines", "not_cleared_marks", "not_to_play"]


@dataclass(frozen=True)
class FollowUpLine:
    """One incident with what the office has still to do; ``left`` holds codes of ``left_to_do``."""

    incident: Incident
    left: tuple[str, ...]
    follow_up: IncidentFollowUp | None = None

    @classmethod
    def of(cls, incident: Incident) -> "FollowUpLine":
        done: IncidentFollowUp | None = getattr(incident, "follow_up", None)
        told, outcome = (done.told_at is not None, done.outcome) if done else (False, "")
        return cls(incident, left_to_do(incident.sort, told=told, outcome=outcome), done)


def follow_up_lines(clinic: Clinic) -> list[FollowUpLine]:
    """The clinic's incidents that the office follows up, as they happened. One query."""
    rows = Incident.objects.followed().filter(clinic=clinic).without_words().select_related("clinic__center")
    return [FollowUpLine.of(row) for row in rows.order_by("at", "pk")]


def not_to_play(children: Collection[Child]) -> Mapping[int, date]:
    """By the number of a child who may not play, the day of the hit to the head. One query.

    Each of two homes may have registered the same child, so every record of the same name and birthday counts. Answers
    ``families.hooks.not_to_play``.
    """
    born = {child.birth_date for child in children}
    rows = Incident.objects.keep_from_play().filter(child__birth_date__in=born).select_related("clinic__center")
    rows = rows.only("at", "child__name", "child__birth_date", "clinic__center__time_zone").select_related("child")
    found: dict[int, date] = {}
    for row in rows.order_by("-at"):
        hurt = row.child
        assert hurt is not None, "keep_from_play has children only."
        for child in children:
            alike = child.birth_date == hurt.birth_date and same_name(child.name, hurt.name)
            if child.pk == hurt.pk or alike:
                # The earliest comes last and stays.
                found[child.pk] = row.day
    return found


def count_not_to_play(clinic: Clinic) -> int:
    """How many children with a spot at the clinic may not play. Two queries."""
    spots = Spot.objects.held().filter(clinic=clinic).select_related("child")
    return len(not_to_play([spot.child for spot in spots.defer("child__allergies", "child__care_notes")]))


def not_cleared_marks(clinic: Clinic) -> str:
    """A short text that changes when a child of this clinic is hurt or cleared. One query."""
    rows = Incident.objects.keep_from_play().filter(child__spots__clinic=clinic)
    numbers = rows.values_list("child", flat=True).order_by("child").distinct()
    return ",".join(str(number) for number in numbers)
