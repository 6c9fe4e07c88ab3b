"""Random days of two phones, sent to the real books in one order and the other: the books end the same."""

import os
import random
import uuid
from datetime import timedelta
from typing import Any

import pytest
from django.db import transaction

from families.models import Child, Waiver
from floor.models import AdultHours, FloorDay, Incident, PaperWaiver, Score, SignIn
from floor.services.phones import open_phone
from tests.floor_days import send

pytestmark = [pytest.mark.django_db, pytest.mark.slow]
# So many days in every run; FLOOR_DAYS=600 tries more.
DAYS = int(os.environ.get("FLOOR_DAYS", "12"))
NAMES = ["Juno Reed", "juno  REED", "Júno Reed", "Reed Juno", "Juno Read"]
WALK_IN = {"born": "2017-03-04", "guardian": "Ida Reed", "phone": "555-0140"}


def day_of(luck, floor, start, phone, number, *, twin, word):
    """What one phone says in a day, in its own order: taps, double taps, what is undone, a walk-in and its twin."""
    rows: list[dict[str, Any]] = []
    at = start + timedelta(seconds=20 * number)
    people = [f"c{child.pk}" for child in floor.children] + [f"v{floor.coach.volunteer_id}"]

    def say(kind, **facts):
        one = {"id": str(uuid.UUID(int=luck.getrandbits(128), version=4)), "seq": len(rows) + 1, "at": at.isoformat()}
        rows.append(one | {"kind": kind, "facts": facts})
        return one["id"]

    if twin:
        people.append(f"w-{number}")
        care = {"allergies": "bees"} if number else {"no_allergies": True}
        say("walk-in", who=f"w-{number}", name=luck.choice(NAMES), signed="Ida Reed", **WALK_IN, **care)
    for _ in range(luck.randint(3, 14)):
        at += timedelta(seconds=luck.choice([1, 30, 200]))
        who = luck.choice(people)
        kind = luck.choice(["in", "in", "in", "out", "out", "undo", "score", "incident", "hours", "waiver"])
        child = who[0] != "v"
        if kind == "in":
            say("in", who=who)
            if luck.random() < 0.4:
                say("in", who=who)
        elif kind == "out":
            say("out", who=who, pickup=luck.choice(["Bram", "Petra"]) if child else "")
        elif kind == "undo" and rows:
            one = luck.choice(rows)
            if one["kind"] not in ("walk-in", "undo"):
                say("undo", of=one["id"])
        elif kind == "score":
            say("score", who=who, what="free throws", made=1, tried=3)
        elif kind == "incident" and child:
            say("incident", who=who, what="A fall", first_aid="", told="", witness="", head=False, sort="bleeding")
        elif kind == "hours" and not child:
            say("hours", who=who, minutes=luck.randint(0, 200))
        elif kind == "waiver" and child:
            paper = {"how": "paper", "guardian": "", "signed": "", "language": "", "version": 0}
            say("waiver", who=who, **paper)
    if twin and word and number:
        at += timedelta(seconds=5)
        say(word, who="w-0", other="w-1")
    return rows


def books(clinic):
    """Everything that the office reads, by names: numbers of rows differ with the order in which they were made."""
    stays = SignIn.objects.filter(clinic=clinic).values_list("child__name", "volunteer", "in_at", "out_at", "pickup")
    scores = Score.objects.filter(clinic=clinic).values_list("action", "made", "tried")
    hurt = Incident.objects.filter(clinic=clinic).values_list("action", "sort", "undone")
    children = Child.objects.known().filter(spots__clinic=clinic)
    day = FloorDay.objects.get(clinic=clinic)
    return {
        # Of two spellings either may stay; that it is one child is what counts.
        "stays": sorted(repr((name and name.split()[-1].casefold()[:3], *rest)) for name, *rest in stays),
        "scores": sorted(map(repr, scores)),
        "incidents": sorted(map(repr, hurt)),
        "children": sorted((child.birth_date, child.allergies, child.allergies_answer) for child in children),
        "hours": sorted(AdultHours.objects.filter(clinic=clinic).values_list("volunteer", "minutes")),
        "paper": PaperWaiver.objects.filter(clinic=clinic).count(),
        "waivers": sorted(Waiver.objects.filter(child__in=children).values_list("typed_name", "withdrawn_by")),
        "conflicts": sorted((one["code"], sorted(one["actions"])) for one in day.conflicts),
        "twins": len(day.twins),
    }


def test_whichever_phone_is_heard_first_the_books_end_the_same(floor, now):
    luck = random.Random(61)
    start = now - timedelta(minutes=50)
    other, _ = open_phone(clinic=floor.clinic, volunteer=floor.lead.volunteer, came_from="192.0.2.8", now=now)
    phones = [floor.phone, other]
    differ = []
    for day in range(DAYS):
        twin, word = luck.random() < 0.6, luck.choice(["", "same", "apart"])
        said = [day_of(luck, floor, start, phones[one], one, twin=twin, word=word) for one in (0, 1)]
        # The word on a pair names both walk-ins, so it is said by a phone that has heard of the other's.
        first = [rows[:1] if twin else [] for rows in said]
        rest = [rows[1:] if twin else rows for rows in said]
        ends = []
        for order in ((0, 1), (1, 0)):
            with transaction.atomic():
                for one in order:
                    send(floor, *first[one], phone=phones[one], now=now)
                for one in order:
                    half = len(rest[one]) // 2
                    send(floor, *rest[one][:half], phone=phones[one], now=now)
                for one in reversed(order):
                    # All of it once more: the answer to the first half was lost.
                    send(floor, *rest[one], phone=phones[one], now=now)
                ends.append(books(floor.clinic))
                transaction.set_rollback(True)
        if ends[0] != ends[1]:
            differ.append(
                (
                    day,
                    twin,
                    word,
                    {key: (ends[0][key], ends[1][key]) for key in ends[0] if ends[0][key] != ends[1][key]},
                )
            )
    assert differ == []
