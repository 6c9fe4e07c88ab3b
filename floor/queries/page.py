"""What the floor page needs of a day, and how the floor stands, as the phone reads it."""

from datetime import datetime
from typing import Any

from django.conf import settings
from django.utils.translation import gettext

from clinics.formatting import clinic_words
from clinics.models import Clinic, Status
from clinics.rules.supervision import LEAST_ADULTS
from core.formats import long_day
from families.queries.waiver_texts import current_text
from floor.models import FloorPhone
from floor.queries.floor_hours import wipe_at
from floor.queries.log import floor_state
from floor.queries.page_adults import adults_data
from floor.queries.page_children import children_data, numbers_of
from floor.queries.page_state import state_data
from floor.rules.floor_log import FloorState
from floor.words import name_of_phone
from runsheets.models import RunSheetPlan
from runsheets.queries.run_sheet_floor import sheet_for_floor

__all__ = ["day_data", "edition_of"]


def edition_of(clinic: Clinic) -> str:
    """A short text that changes when the clinic's hours, its run sheet or whether it takes place change. One query."""
    sheet = RunSheetPlan.objects.ready().filter(clinic=clinic).latest_each().values_list("pk", flat=True).first()
    hours = f"{clinic.starts_at.isoformat()} {clinic.ends_at.isoformat()}"
    return f"{clinic.revision} {hours} {clinic.status == Status.CANCELLED:d} {sheet or 0}"


def day_data(phone: FloorPhone, now: datetime, state: FloorState | None = None) -> dict[str, Any]:
    """Read the day for one phone, in a constant number of queries.

    The phone needs its clinic with the center loaded. ``state`` is the floor, when the caller knows it already.
    """
    clinic = phone.clinic
    center = clinic.center
    state = floor_state(clinic) if state is None else state
    text = current_text("en")
    sheet = sheet_for_floor(clinic)
    groups = {who: one["code"] for one in sheet["groups"] for who in one["children"]} if sheet else {}
    return {
        "clinic": {
            "pk": clinic.pk,
            "title": clinic_words(clinic),
            "day": long_day(clinic.day),
            "starts_at": clinic.starts_at.isoformat(),
            "ends_at": clinic.ends_at.isoformat(),
            "zone": center.time_zone,
            "address": center.address,
            "arrival": center.arrival,
            "door": [{"name": who.name, "phone": who.phone} for who in center.door_contacts],
            "theme": clinic.theme,
            "phone": settings.ORGANISATION_PHONE,
            "called_off": "" if clinic.live else clinic.cancelled_because.rstrip(".") or gettext("no reason was given"),
        },
        "edition": edition_of(clinic),
        "emergency": {
            "defibrillator": center.defibrillator,
            "first_aid_kit": center.first_aid_kit,
            "hospital": center.hospital,
            "assembly_point": center.assembly_point,
            "plan_seen_on": center.plan_seen_on.isoformat() if center.plan_seen_on else "",
        },
        "now": now.isoformat(),
        "phone": phone.pk,
        "phone_name": name_of_phone(phone),
        "wipe_at": wipe_at(clinic).isoformat(),
        "children": children_data(clinic, state, groups),
        "adults": adults_data(clinic, now.astimezone(center.tz).date(), numbers_of(state, "v")),
        "ratio": {
            "least_adults": LEAST_ADULTS,
            "tables": [
                {
                    "name": table.name,
                    "source": table.source,
                    "rows": [[row.lowest_age, row.highest_age, row.children_per_adult] for row in table.rows],
                }
                for table in clinic.ratio_tables
            ],
        },
        "sheet": sheet,
        "waiver": {"title": text.title, "body": text.body, "version": text.version} if text is not None else None,
        "state": state_data(clinic, state),
    }
