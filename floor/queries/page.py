"""What the floor page needs of a day, and how the floor stands, as the phone reads it."""

from datetime import datetime
from typing import Any

from django.conf import settings
from django.utils.translation import gettext

from clinics.formatting import clinic_words
from clinics.hooks import space_of
from core.formats import long_day
from floor.models import FloorPhone
from floor.queries.edition import edition_of
from floor.queries.floor_hours import wipe_at
from floor.queries.log import floor_state
from floor.queries.page_adults import adults_data
from floor.queries.page_children import children_data, numbers_of
from floor.queries.page_ratio import needs_data, ratio_data
from floor.queries.page_state import state_data
from floor.queries.page_waivers import door_policy_data, waiver_data
from floor.rules.floor_log import FloorState
from floor.words import name_of_phone
from runsheets.queries.run_sheet_floor import sheet_for_floor

__all__ = ["day_data"]


def day_data(phone: FloorPhone, now: datetime, state: FloorState | None = None) -> dict[str, Any]:
    """Read the day for one phone, in a constant number of queries.

    The phone needs its clinic with the center loaded. ``state`` is the floor, when the caller knows it already.
    """
    clinic = phone.clinic
    center = clinic.center
    space = space_of.ask_one(clinic)
    state = floor_state(clinic) if state is None else state
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
        "bands": [[band.youngest, band.oldest, band.children] for band in clinic.bands.all()],
        # The fire limit of the space: children and adults. None where no space is booked.
        "space": space.name if space else "",
        "capacity": space.capacity if space else None,
        "ratio": ratio_data(clinic),
        "needs": needs_data(clinic),
        "sheet": sheet,
        "waivers": waiver_data(),
        "policy": door_policy_data(),
        "state": state_data(clinic, state),
    }
