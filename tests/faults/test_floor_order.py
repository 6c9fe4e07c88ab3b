"""Ten thousand entries of a phone in the worst order there is."""

import random
from datetime import timedelta

import pytest

from floor.models import FloorAction, FloorDay, FloorPhone, Score, SignIn
from tests.floor_days import entry, send

pytestmark = [pytest.mark.django_db, pytest.mark.slow]


def test_ten_thousand_entries_in_any_order_twice_and_cut_anywhere_end_the_same(floor, now):
    """Also the measure of the issue: random order, repeated, in many sendings that break off."""
    luck = random.Random(7)
    whos = [f"c{child.pk}" for child in floor.children] + [f"v{floor.coach.volunteer_id}"]
    entries, at = [], now - timedelta(hours=2)
    for seq in range(1, 10_001):
        at += timedelta(milliseconds=700)
        who = luck.choice(whos)
        kind = luck.choices(["in", "out", "score", "slot", "note"], [30, 30, 38, 1, 1])[0]
        of_kind: dict[str, dict[str, object]] = {
            "in": {"who": who},
            "out": {"who": who, "pickup": luck.choice(["Bram", "Petra"])},
            "score": {"who": who, "what": "ladder", "made": 1, "tried": 3},
            "slot": {"slot": seq % 7},
            "note": {"words": f"note {seq}"},
        }
        entries.append(entry(seq, kind, at, **of_kind[kind]))
    for start in range(0, 10_000, 500):
        send(floor, *entries[start : start + 500], now=now)
    wanted = _books(floor.clinic)
    phones = FloorPhone.objects.filter(clinic=floor.clinic)
    FloorAction.objects.all().delete()
    send(floor, entry(10_001, "slot", now, slot=99), now=now)
    FloorAction.objects.all().delete()

    mixed = entries + luck.sample(entries, 3000)
    luck.shuffle(mixed)
    place = 0
    while place < len(mixed):
        size = luck.randint(1, 500)
        send(floor, *mixed[place : place + size], now=now)
        # The answer was lost on the way: the phone sends the same and some more again.
        place += size if luck.random() < 0.8 else max(1, size // 2)

    assert FloorAction.objects.count() == 10_000 and phones.count() == 1
    assert _books(floor.clinic) == wanted


def _books(clinic):
    stays = SignIn.objects.filter(clinic=clinic).values_list("child", "volunteer", "in_at", "out_at", "pickup")
    scores = Score.objects.filter(clinic=clinic).values_list("action", "child", "made", "tried", "at")
    day = FloorDay.objects.get(clinic=clinic)
    return (sorted(stays, key=repr), sorted(scores, key=repr), day.conflicts, day.slots, day.notes)
