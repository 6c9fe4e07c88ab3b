"""Open shifts, and people who have not answered."""

from collections.abc import Iterator
from datetime import date

from django.urls import reverse
from django.utils.translation import gettext, ngettext

from clinics.needs import UNANSWERED_AFTER, Need
from core import clock
from core.formats import span
from people.models import duties
from scheduling.queries.clinics import ClinicLine
from scheduling.words.ahead import people_needed, people_silent


def cover_needs(lines: list[ClinicLine], today: date) -> Iterator[Need]:
    for line in lines:
        opened = [cell for cell in line.strip.cells if cell.state == "open"]
        if opened:
            missing = people_needed(line.center, [duties().noun(cell.shift.duty_id) for cell in opened])
            yield Need(
                day=line.clinic.day,
                rank=1,
                headline=missing,
                detail=ngettext(
                    "%(hours)s, %(children)s. %(accepted)d of %(n)d shift accepted.",
                    "%(hours)s, %(children)s. %(accepted)d of %(n)d shifts accepted.",
                    line.strip.total,
                )
                % {
                    "hours": span(line.clinic.local_start, line.clinic.local_end),
                    "children": line.summary,
                    "accepted": line.strip.accepted,
                    "n": line.strip.total,
                },
                action_label=gettext("Find someone") if len(opened) == 1 else gettext("Fill the shifts"),
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
            yield Need(
                day=line.clinic.day,
                rank=2,
                headline=people_silent([cell.person for cell in silent]),
                detail=ngettext(
                    "%(center)s, %(hours)s. Asked at least %(n)d day ago.",
                    "%(center)s, %(hours)s. Asked at least %(n)d days ago.",
                    UNANSWERED_AFTER.days,
                )
                % {
                    "center": line.center,
                    "hours": span(line.clinic.local_start, line.clinic.local_end),
                    "n": UNANSWERED_AFTER.days,
                },
                action_label=gettext("Open the clinic"),
                action_href=line.href,
            )
