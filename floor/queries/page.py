"""What the floor page needs of a day, and how the floor stands, as the phone reads it."""

import re
from collections.abc import Collection
from dataclasses import asdict
from datetime import date, datetime
from typing import Any

from django.conf import settings
from django.utils.translation import gettext

from clinics.formatting import clinic_words
from clinics.models import Clinic, Status
from clinics.rules.supervision import LEAST_ADULTS
from core.formats import long_day
from families.models import Child, Spot
from families.queries.door import DoorLine, door_lines
from families.queries.waiver_texts import current_text
from floor.models import FloorPhone
from floor.queries.conflicts import open_conflicts
from floor.queries.floor_hours import wipe_at
from floor.queries.log import children_of_walk_ins, floor_state
from floor.rules.adults_now import adults_now
from floor.rules.floor_log import Action, FloorState
from people.models import Volunteer, duties
from people.queries.standing import open_book
from people.words.standing import why_not
from runsheets.models import RunSheetPlan
from runsheets.queries.run_sheet_floor import sheet_for_floor
from shifts.models import Assignment

__all__ = ["day_data", "edition_of", "floor_children", "state_data"]


def floor_children(clinic: Clinic, state: FloorState) -> list[Child]:
    """List the children whose notes the phone gets: who holds a spot, waits for one, or has been on the floor."""
    spots = Spot.objects.live() | Spot.objects.filter(child__in=_numbers(state, "c"))
    rows = spots.filter(clinic=clinic).select_related("child")
    # Whether there is anything to read is known without opening it.
    return list({row.child_id: row.child for row in rows.defer("child__allergies", "child__care_notes")}.values())


def _numbers(state: FloorState, letter: str) -> set[int]:
    """Numbers of the children ("c") or adults ("v") whom the log names at the door."""
    return {int(who[1:]) for who in state.stays if who[:1] == letter and who[1:].isdecimal()}


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
    # Who waits may still be let in by the lead, and then the same must be known of them.
    # Whoever came in stays on the list, whatever becomes of the spot: somebody must sign them out.
    lines = door_lines(clinic, with_care=True, waiting=True, also=_numbers(state, "c"))
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
        "wipe_at": wipe_at(clinic).isoformat(),
        "children": [_child(line, groups) for line in lines],
        "adults": _adults(clinic, now.astimezone(center.tz).date(), _numbers(state, "v")),
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


def state_data(clinic: Clinic, state: FloorState) -> dict[str, Any]:
    """Describe how the floor stands after everything that has arrived. A constant number of queries."""
    made = children_of_walk_ins(clinic)
    ages = {f"c{child}": age for child, age in Spot.objects.filter(clinic=clinic).values_list("child_id", "age")}
    walk_ins = []
    for who, row in state.walk_ins.items():
        child = f"c{made[row.id]}" if row.id in made else ""
        ages[who] = ages.get(child, 0)
        # "child" tells the phone which child of the list this is, so that nobody stands at the door twice.
        facts = {"name": row.facts["name"], "age": ages[who], "guardian": row.facts["guardian"]}
        walk_ins.append({"who": who, "child": child, **facts})
    inside = state.inside
    counts = {entry["who"] for entry in _adults(clinic, clinic.day) if entry["counts"]}
    children = [who for who in inside if not re.fullmatch(r"v\d+", who)]
    return {
        "stays": {
            who: [
                {
                    "in": stay.in_at.isoformat(),
                    "out": stay.out_at.isoformat() if stay.out_at else None,
                    "pickup": stay.pickup,
                    "in_id": stay.in_by,
                    "out_id": stay.out_by or None,
                    "in_again": [_said(row) for row in stay.in_again],
                    "out_again": [_said(row) for row in stay.out_again],
                }
                for stay in stays
            ]
            for who, stays in state.stays.items()
            if stays
        },
        "walk_ins": walk_ins,
        "scores": [
            {
                "id": row.id,
                "who": row.facts["who"],
                "what": row.facts["what"],
                "level": row.facts.get("level"),
                "made": row.facts["made"],
                "tried": row.facts["tried"],
                "at": row.at.isoformat(),
            }
            for row in state.scores
        ],
        "incidents": [
            {
                "id": row.id,
                "at": row.at.isoformat(),
                "what": row.facts["what"],
                "who": row.facts.get("who", ""),
                "head": row.facts["head"],
            }
            for row in state.incidents
        ],
        "sheet": state.sheet,
        "slots": {str(slot): at.isoformat() for slot, at in state.slots.items()},
        "notes": [{"id": row.id, "words": row.facts["words"]} for row in state.notes],
        "minutes": state.minutes,
        "said": [
            {"id": row.id, "at": row.at.isoformat(), "kind": row.kind, "facts": dict(row.facts)} for row in state.said
        ],
        "conflicts": [
            {
                "code": one.code,
                "who": one.who,
                "actions": list(one.actions),
                "words": one.words,
                "versions": [asdict(said) | {"at": said.at.isoformat()} for said in one.versions],
            }
            for one in open_conflicts(state)
        ],
        "closed_at": state.closed_at.isoformat() if state.closed_at else None,
        "here_children": len(children),
        "here_adults": len(inside & counts),
        "needed": adults_now([ages.get(who, 0) for who in children], clinic.ratio_tables),
    }


def _said(row: Action) -> dict[str, Any]:
    return {"id": row.id, "at": row.at.isoformat(), "pickup": str(row.facts.get("pickup", ""))}


def _child(line: DoorLine, groups: dict[str, str]) -> dict[str, Any]:
    home = line.emergency
    guardians = [row.guardian for row in line.handed_to]
    return {
        "who": f"c{line.child.pk}",
        "name": line.child.name,
        "given": line.child.given_name,
        "age": line.spot.age,
        "waiver": line.waiver.state,
        "photos": line.photos,
        "allergies": line.child.allergies,
        "care_notes": line.child.care_notes,
        "pickup_people": [
            *({"name": one.name, "phone": one.phone, "relation": "guardian"} for one in guardians),
            *({"name": one.name, "phone": one.phone, "relation": one.relation} for one in line.pickup_people),
        ],
        "must_not": [one.name for one in line.kept_away],
        "emergency": {"name": home.emergency_name, "phone": home.emergency_phone}
        if home
        else {"name": "", "phone": ""},
        "state": line.spot.state,
        "group": groups.get(f"c{line.child.pk}", ""),
    }


def _adults(clinic: Clinic, today: date, there: Collection[int] = ()) -> list[dict[str, Any]]:
    """Everybody who accepted, and whether they count on the day: cleared, 18 or over, in a duty that counts.

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
                "counts": not reasons,
                "why_not": "; ".join(reasons),
            }
        )
    return out + _taken_off(clinic, set(there) - {row.volunteer_id for row in people})


def _taken_off(clinic: Clinic, numbers: Collection[int]) -> list[dict[str, Any]]:
    if not numbers:
        return []
    rows = Assignment.objects.filter(shift__clinic=clinic, volunteer__in=numbers).select_related("shift").order_by("pk")
    duty = {row.volunteer_id: row.shift.duty_name for row in rows}
    return [
        {"who": f"v{one.pk}", "name": one.name, "duty": duty.get(one.pk, ""), "counts": False,
         "why_not": gettext("taken off the shift")}
        for one in Volunteer.objects.filter(pk__in=numbers).order_by("name", "pk")
    ]  # fmt: skip
