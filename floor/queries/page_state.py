"""How the floor stands, as the phone reads it: everything that phones and office wrote, worked out."""

import re
from dataclasses import asdict
from typing import Any

from clinics.models import Clinic
from families.models import Spot
from floor.queries.conflicts import open_conflicts
from floor.queries.log import called_now, children_of_walk_ins
from floor.queries.page_adults import adults_data
from floor.queries.page_waivers import waivers_said
from floor.queries.twins import open_twins
from floor.rules.adults_now import adults_now
from floor.rules.floor_log import Action, FloorState
from floor.rules.incidents import HEAD, sort_of
from floor.rules.twins import ages_counted

__all__ = ["state_data"]


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
        facts |= {"born": row.facts["born"]}
        walk_ins.append({"who": who, "child": child, **facts})
    inside = state.inside
    counts = {entry["who"] for entry in adults_data(clinic, clinic.day) if entry["counts"]}
    children = [who for who in inside if not re.fullmatch(r"v\d+", who)]
    twins = open_twins(clinic, state, made)
    counted = ages_counted(ages, [(pair.one.who, pair.other.who) for pair in twins])
    # One line by the books and two children by another phone: until that is settled they count as two.
    twice = [one.who for one in state.conflicts if one.code == "merged and apart" and one.who in inside]
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
                "sort": sort_of(row.facts),
                "head": sort_of(row.facts) == HEAD,
            }
            for row in state.incidents
        ],
        "sheet": state.sheet,
        "slots": {str(slot): at.isoformat() for slot, at in state.slots.items()},
        "notes": [{"id": row.id, "words": row.facts["words"]} for row in state.notes],
        "minutes": state.minutes,
        "waivers": waivers_said(state),
        "pairs": [
            {"id": row.id, "kind": row.kind, "who": row.facts["who"], "other": row.facts["other"]}
            for row in state.pairs
        ],
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
        "needed": adults_now([counted.get(who, 0) for who in children + twice], clinic.ratio_tables),
        "called": called_now(clinic, [who for who in ages if who[:1] == "c"]),
    }


def _said(row: Action) -> dict[str, Any]:
    return {"id": row.id, "at": row.at.isoformat(), "pickup": str(row.facts.get("pickup", ""))}
