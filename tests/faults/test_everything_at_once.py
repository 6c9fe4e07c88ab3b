"""Whatever the office, centers, volunteers, families, phones and the clock do in one moment: nobody waits for nobody.

Each thread does one thing after another, chosen by a seed. A refusal in words is an answer; a deadlock is not, nor is a
constraint that nobody turned into words.
"""

import random
import threading
import time as timing
import uuid
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from datetime import date, time, timedelta
from types import SimpleNamespace
from typing import Any

import pytest
from django.core.exceptions import ObjectDoesNotExist
from django.db import connection, transaction

from clinics.models import Clinic, Status
from core import clock
from core.refusal import Refusal
from families.models import Child, Guardian, Spot
from families.services.merge import confirm_household
from families.services.office import give_spot
from families.services.registering import register
from families.services.retention import purge_children
from families.services.spots import answer_offer, end_spot, pass_on_unanswered
from families.services.waiver_reminders import plan_waiver_reminders
from floor.models import FloorPhone, SignIn
from floor.services.phones import open_phone
from floor.services.syncing import receive
from kits.models import Kit
from kits.services.kits import move_kit
from people.models import Volunteer
from people.services.clearances import ClearanceFacts, record_clearance
from people.services.merge import merge_volunteers
from scheduling.models import Answer, Booking
from scheduling.services.bookings import ClinicFacts, answer_booking, ask_center_again, book_clinic
from scheduling.services.cancelling import cancel_clinic
from scheduling.services.changing import change_clinic, change_rest
from scheduling.services.clinic_facts import facts_of
from scheduling.services.hold_ends import end_old_holds
from scheduling.services.series import book_series, cancel_rest
from shifts.models import Assignment, Reply, Shift
from shifts.services.backup import make_backup
from shifts.services.cover import ask_volunteer, record_reply, release_volunteer
from shifts.services.eligibility import leave, release_all_ineligible
from shifts.services.notices import plan_notices
from shifts.services.reminders import plan_reminders
from shifts.services.rounds import next_rounds
from shifts.services.swaps import offer_swap
from tests.floor_days import entry

pytestmark = pytest.mark.django_db(transaction=True)
THREADS = 12
SECONDS = 12


@pytest.fixture
def house(make_space, make_clinic, make_volunteer, make_shift, make_assignment, household, coordinator, floor, now):
    """Three floors, six clinics ahead and one today, eight people, two kits and some families."""
    house = SimpleNamespace(by=coordinator, household=household, floor=floor)
    house.spaces = [make_space() for _ in range(3)]
    house.kits = [Kit.objects.create(name=f"Bag {number}") for number in (1, 2)]
    people = [make_volunteer(duties=("lead", "coach")) for _ in range(8)]
    clinics = [make_clinic(house.spaces[n % 3], days=5 + n, children=6) for n in range(6)]
    for number, clinic in enumerate(clinics):
        for person in people[number % 3 :: 3]:
            make_assignment(make_shift(clinic, "coach"), person)
        make_shift(clinic, "lead")
    with transaction.atomic():
        for clinic in clinics[:2]:
            for _ in range(4):
                register(clinic=clinic, facts=household(), once=uuid.uuid4(), now=now)
    return house


def any_of(rows: Any, dice: random.Random) -> Any:
    found = list(rows.order_by("pk")[:40])
    if not found:
        raise ObjectDoesNotExist("Nothing of that kind is left.")
    return dice.choice(found)


def clinic_of(dice: random.Random) -> Clinic:
    rows = Clinic.objects.filter(starts_at__gt=clock.now()).select_related("center").prefetch_related("bands")
    return any_of(rows, dice)


def works(house: SimpleNamespace) -> dict[str, Callable[[random.Random], object]]:
    by = house.by

    def move(dice: random.Random) -> object:
        clinic = clinic_of(dice)
        space = dice.choice(house.spaces)
        starts = time(dice.choice((9, 10, 14)), dice.choice((0, 10, 30)))
        changed = replace(
            facts_of(clinic), center=space.center, space=space, kit=dice.choice([None, *house.kits]),
            starts=starts, ends=time(starts.hour + 2, starts.minute),
        )  # fmt: skip
        return dice.choice((change_clinic, change_rest))(clinic=clinic, facts=changed, now=clock.now())

    def book(dice: random.Random) -> object:
        space = dice.choice(house.spaces)
        facts = ClinicFacts(
            center=space.center, space=space, day=clock.today() + timedelta(days=dice.randint(5, 12)),
            starts=time(dice.choice((9, 12, 14))), ends=time(16), bands=[(7, 10, 6)],
            kit=dice.choice([None, *house.kits]),
        )  # fmt: skip
        return book_clinic(facts=facts, now=clock.now())

    def repeat(dice: random.Random) -> object:
        clinic = clinic_of(dice)
        return book_series(clinic=clinic, days=[clinic.day + timedelta(days=7)], now=clock.now())

    def cancel(dice: random.Random) -> object:
        act = dice.choice((cancel_clinic, cancel_clinic, cancel_rest))
        if Clinic.objects.filter(starts_at__gt=clock.now()).exclude(status=Status.CANCELLED).count() < 4:
            return None
        return act(clinic=clinic_of(dice), because="The roof leaks.", now=clock.now())

    def answer(dice: random.Random) -> object:
        said = dice.choice((Answer.AGREED, Answer.AGREED, Answer.NOT_POSSIBLE))
        return answer_booking(booking=any_of(Booking.objects.live(), dice), answer=said, now=clock.now())

    def ask(dice: random.Random) -> object:
        shift = any_of(Shift.objects.select_related("clinic__center"), dice)
        return ask_volunteer(shift=shift, volunteer=any_of(Volunteer.objects, dice), now=clock.now())

    def reply(dice: random.Random) -> object:
        row = any_of(Assignment.objects.live().select_related("shift"), dice)
        said = dice.choice((Reply.ACCEPTED, Reply.DECLINED))
        return record_reply(assignment=row, reply=said, by="by link", now=clock.now())

    def release(dice: random.Random) -> object:
        row = any_of(Assignment.objects.live().select_related("shift"), dice)
        return release_volunteer(assignment=row, because="ill", now=clock.now())

    def clear(dice: random.Random) -> object:
        person = any_of(Volunteer.objects, dice)
        kind = any_of(type(person.clearances.first().kind).objects, dice)
        facts = ClearanceFacts(kind=kind, state="clear", issued_on=clock.today(), expires_on=None)
        return record_clearance(volunteer=person, facts=facts, by=by, now=clock.now())

    def join_people(dice: random.Random) -> object:
        if Volunteer.objects.count() < 6:
            return None
        keep, other = any_of(Volunteer.objects, dice), any_of(Volunteer.objects, dice)
        return merge_volunteers(keep=keep, other=other, now=clock.now())

    def going(dice: random.Random) -> object:
        if Volunteer.objects.filter(left_on=None).count() < 6:
            return None
        return leave(volunteer=any_of(Volunteer.objects, dice), today=clock.today(), now=clock.now())

    def come(dice: random.Random) -> object:
        name = dice.choice(("Wren Ash", "Fern Moss", "Bryn Vale"))
        clinic = clinic_of(dice)
        facts = house.household((name, date(clinic.day.year - 9, 1, 1)), email=f"{name.split()[0].lower()}@example.org")
        return register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=clock.now())

    def confirm(dice: random.Random) -> object:
        rows = Guardian.objects.filter(email__endswith="@example.org")
        return confirm_household(guardian=any_of(rows, dice), now=clock.now())

    def end(dice: random.Random) -> object:
        return end_spot(spot=any_of(Spot.objects.live(), dice), because="ill", now=clock.now())

    def offer(dice: random.Random) -> object:
        row = any_of(Spot.objects.filter(state="offered"), dice)
        return answer_offer(spot=row, yes=dice.random() < 0.7, now=clock.now())

    def give(dice: random.Random) -> object:
        return give_spot(clinic=clinic_of(dice), child=any_of(Child.objects, dice), now=clock.now())

    def tap(dice: random.Random) -> object:
        day = house.floor
        phone = FloorPhone.objects.select_related("clinic__center").get(pk=dice.choice(house.phones))
        who = dice.choice([f"c{child.pk}" for child in day.children] + [f"v{day.lead.volunteer_id}"])
        kind = dice.choice(("in", "out"))
        facts = {"who": who} | ({"pickup": dice.choice(("Bram", "Petra"))} if kind == "out" else {})
        row = entry(next(house.numbers), kind, clock.now(), **facts)
        return receive(phone=phone, phone_now=clock.now(), actions=[row], now=clock.now())

    def carry(dice: random.Random) -> object:
        kit, clinic = dice.choice(house.kits), clinic_of(dice)
        return move_kit(kit=kit, to_center=clinic.center, with_whom="", now=clock.now())

    def back_up(dice: random.Random) -> object:
        shift = any_of(Shift.objects.select_related("clinic__center"), dice)
        return make_backup(shift=shift, volunteer=any_of(Volunteer.objects, dice), now=clock.now())

    def swap(dice: random.Random) -> object:
        row = any_of(Assignment.objects.accepted().select_related("shift"), dice)
        return offer_swap(assignment=row, email=any_of(Volunteer.objects, dice).email, now=clock.now())

    def ask_anew(dice: random.Random) -> object:
        return ask_center_again(booking=any_of(Booking.objects, dice), now=clock.now())

    def clockwork(dice: random.Random) -> object:
        job = dice.choice((
            end_old_holds, release_all_ineligible, next_rounds, pass_on_unanswered, plan_reminders,
            plan_waiver_reminders, plan_notices, lambda now: purge_children(today=clock.today(), now=now),
        ))  # fmt: skip
        return job(now=clock.now())

    return {
        "move": move, "book": book, "repeat": repeat, "cancel": cancel, "answer": answer, "ask": ask, "reply": reply,
        "release": release, "clear": clear, "join people": join_people, "go": going, "come": come,
        "confirm": confirm, "end": end, "offer": offer, "give": give, "tap": tap, "carry": carry, "backup": back_up,
        "swap": swap,
        "ask anew": ask_anew, "clockwork": clockwork,
    }  # fmt: skip


def test_whatever_happens_in_one_moment_nobody_waits_for_nobody(house, now):
    day = house.floor
    phones = [
        open_phone(clinic=day.clinic, volunteer=day.lead.volunteer, came_from="192.0.2.8", now=now)[0] for _ in "ab"
    ]
    house.phones = [day.phone.pk, *(phone.pk for phone in phones)]
    house.numbers = iter(range(1, 10**6))
    todo, problems, done = works(house), [], Counter[str]()
    names = sorted(todo)
    end = timing.monotonic() + SECONDS

    def run(seed: int) -> None:
        dice = random.Random(seed)
        try:
            while timing.monotonic() < end:
                name = dice.choice(names)
                try:
                    todo[name](dice)
                    done[name] += 1
                except (Refusal, ObjectDoesNotExist):
                    done[f"{name}, refused"] += 1
                except Exception as problem:
                    problems.append((name, problem))
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(20261126 + number,)) for number in range(THREADS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=120)

    assert not any(thread.is_alive() for thread in threads)
    assert problems == [], "\n\n".join(f"{name}: {problem!r}" for name, problem in problems)
    assert sum(done.values()) > THREADS and len(done) > 20, done
    assert SignIn.objects.filter(child__isnull=False).exists()
