"""Shifts without anybody, and people who have not answered."""

from collections.abc import Iterator
from datetime import date

from django.urls import reverse

from clinics.needs import UNANSWERED_AFTER, Need
from core import clock
from people.models import duties
from scheduling.queries.clinics import ClinicLine


def cover_needs(lines: list[ClinicLine], today: date) -> Iterator[Need]:
    for line in lines:
        opened = [cell for cell in line.strip.cells if cell.state == "open"]
        if opened:
            missing = _counted([duties().noun(cell.shift.duty_id) for cell in opened])
            yield Need(
                day=line.clinic.day,
                rank=1,
                headline=f"No {missing} at {line.center}",
                detail=f"{line.starts} to {line.ends}, {line.summary}. "
                f"{line.strip.accepted} of {line.strip.total} shifts are accepted.",
                action_label="See who could" if len(opened) == 1 else "Cover the clinic",
                action_href=reverse("shift-who", args=[opened[0].shift.pk]) if len(opened) == 1 else line.href,
            )
        silent = [
            cell
            for cell in line.strip.cells
            if cell.state == "asked"
            and cell.assignment is not None
            and (today - cell.assignment.asked_at.astimezone(clock.home_zone()).date()).days >= UNANSWERED_AFTER.days
        ]
        if silent:
            names = " and ".join(cell.person for cell in silent[:2])
            more = f" and {len(silent) - 2} more" if len(silent) > 2 else ""
            yield Need(
                day=line.clinic.day,
                rank=2,
                headline=f"{names}{more} {'has' if len(silent) == 1 else 'have'} not answered",
                detail=f"{line.center}, {line.starts} to {line.ends}. Asked at least {UNANSWERED_AFTER.days} days ago.",
                action_label="Open the clinic",
                action_href=line.href,
            )


def _counted(words: list[str]) -> str:
    """first aider, 2 coaches and door."""
    parts = []
    for word in dict.fromkeys(words):
        count = words.count(word)
        plural = word + ("es" if word.endswith("ch") else "s")
        parts.append(word if count == 1 else f"{count} {plural}")
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} or {parts[-1]}"
