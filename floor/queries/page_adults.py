"""The adults of the day as the phone reads them: who is on which duty, and who counts."""

from collections.abc import Collection
from datetime import date
from typing import Any

from django.utils.translation import gettext

from clinics.models import Clinic
from people.models import Volunteer, duties
from people.queries.standing import open_book
from people.words.standing import why_not
from shifts.models import Assignment

__all__ = ["adults_data"]


def adults_data(clinic: Clinic, today: date, there: Collection[int] = ()) -> list[dict[str, Any]]:
    """Everybody who accepted, and whether they count on the day: cleared, 18 or over, in a duty that counts.

    ``duties`` are the codes of what they came for, ``cleared`` those of them that they fill: cleared, and 18 or over.

    ``there``: volunteers who have been on the floor; they are listed, uncounted, also when they are on no shift now.
    """
    rows = Assignment.objects.on_floor().filter(shift__clinic=clinic).select_related("volunteer", "shift")
    people = list(rows.order_by("shift__position", "pk"))
    book = open_book(row.volunteer_id for row in people)
    out = []
    for row in people:
        standing = book.on(row.volunteer_id, row.shift.duty_id, clinic.day, clinic.center.place)
        reasons = [] if standing.ok else why_not(standing, book.kind_names, clinic.day, today)
        if not row.volunteer.adult:
            reasons = [gettext("under 18: helper, doesn’t count as an adult")]
        elif not duties().counts(row.shift.duty_id):
            reasons = [gettext("this duty doesn’t count as an adult")]
        out.append(
            {
                "who": f"v{row.volunteer_id}",
                "name": row.volunteer.name,
                "duty": row.shift.duty_name,
                "duties": [row.shift.duty_id],
                # Whether the duty is filled by them being in; for the ratio "counts" says it.
                "cleared": [row.shift.duty_id] if standing.ok and row.volunteer.adult else [],
                "counts": not reasons,
                "why_not": "; ".join(reasons),
            }
        )
    return out + _taken_off(clinic, set(there) - {row.volunteer_id for row in people})


def _taken_off(clinic: Clinic, numbers: Collection[int]) -> list[dict[str, Any]]:
    if not numbers:
        return []
    rows = Assignment.objects.filter(shift__clinic=clinic, volunteer__in=numbers).select_related("shift").order_by("pk")
    last = {row.volunteer_id: row.shift for row in rows}
    return [
        {"who": f"v{one.pk}", "name": one.name, "duty": last[one.pk].duty_name if one.pk in last else "",
         "duties": [last[one.pk].duty_id] if one.pk in last else [], "cleared": [], "counts": False,
         "why_not": gettext("taken off the shift")}
        for one in Volunteer.objects.filter(pk__in=numbers).order_by("name", "pk")
    ]  # fmt: skip
