"""Whole rows are moved, called off and answered at the same moment: nobody waits for nobody, nothing overlaps."""

from collections.abc import Callable
from datetime import time, timedelta
from itertools import cycle, islice

import pytest
from django.db import connection, transaction

from clinics.models import Clinic
from core import clock
from core.refusal import Refusal
from kits.models import Kit, KitBooking
from kits.services.holds import hold_kit
from scheduling.models import Booking
from scheduling.services.bookings import answer_booking
from scheduling.services.changing import change_rest
from scheduling.services.clinic_facts import facts_of
from scheduling.services.series import book_series, cancel_rest
from shifts.models import Assignment
from tests.faults.test_races import at_once

OVERLAPS = """
SELECT count(*) FROM {table} one JOIN {table} two ON one.id < two.id AND one.{what}_id = two.{what}_id
WHERE one.period && two.period AND {live}
"""
HELD = "one.status <> 'cancelled' AND two.status <> 'cancelled'"
ON_IT = "one.released_at IS NULL AND two.released_at IS NULL AND 'declined' NOT IN (one.reply, two.reply)"
THREADS = 16


@pytest.mark.django_db(transaction=True)
def test_rows_that_share_spaces_kit_and_people_are_moved_and_called_off_at_once(
    make_clinic, make_space, make_shift, make_assignment, make_volunteer
):
    """Two rows of four move onto each other's spaces and hours, by many at once, while centers answer."""
    spaces, bag = [make_space(), make_space()], Kit.objects.create(name="Bag 1")
    people = [make_volunteer(duties=("coach",), cleared=("screening", "conduct")) for _ in range(3)]
    rows = []
    for number, floor in enumerate(spaces):
        first = make_clinic(floor, days=10, starts=time(9 + 5 * number), ends=time(11 + 5 * number))
        if number == 0:
            with transaction.atomic():
                hold_kit(first, bag)
        days = [first.day + timedelta(weeks=week) for week in range(1, 4)]
        made = book_series(clinic=first, days=days, now=clock.now())
        for clinic in (first, *made):
            # The same three people in another order, so that whoever locks as they come would meet head on.
            for person in people if number else reversed(people):
                make_assignment(make_shift(clinic), person)
        rows.append([first.pk, *(one.pk for one in made)])

    def moving(row: int, floor: int, hour: int) -> Callable[[], object]:
        def call() -> object:
            clinic = Clinic.objects.select_related("center").prefetch_related("bands").get(pk=rows[row][0])
            facts = facts_of(clinic)
            there = {
                "center": spaces[number].center,
                "space": spaces[number],
                "starts": time(hour),
                "ends": time(hour + 2),
            }
            facts = type(facts)(**{**facts.__dict__, **there})
            return change_rest(clinic=clinic, facts=facts, now=clock.now())

        return call

    def answering(pk: int) -> Callable[[], object]:
        def call() -> object:
            return answer_booking(booking=Booking.objects.live().get(clinic=pk), answer="agreed", now=clock.now())

        return call

    def calling_off() -> object:
        clinic = Clinic.objects.get(pk=rows[1][2])
        return cancel_rest(clinic=clinic, because="snow", now=clock.now())

    calls = [
        moving(0, 1, 14), moving(1, 0, 9), answering(rows[0][1]), moving(0, 1, 9), moving(1, 0, 14),
        answering(rows[1][1]), moving(0, 0, 18), moving(1, 1, 18),
    ]  # fmt: skip
    out = at_once(*islice(cycle(calls), THREADS), calling_off)

    strange = [one for one in out if isinstance(one, Exception) and not isinstance(one, Refusal)]
    assert not strange, strange
    assert any(not isinstance(one, Exception) for one in out[:-1])
    with connection.cursor() as cursor:
        for model, what, live in (
            (Booking, "space", HELD),
            (KitBooking, "kit", HELD),
            (Assignment, "volunteer", ON_IT),
        ):
            cursor.execute(OVERLAPS.format(table=model._meta.db_table, what=what, live=live))
            assert cursor.fetchone()[0] == 0, model
    for numbers in rows:
        left = Clinic.objects.live().filter(pk__in=numbers)
        # Each row stands as a whole: one hour and one floor for all that are left of it.
        assert len({one.local_start.time() for one in left.select_related("center")}) == 1
        assert Booking.objects.live().filter(clinic__in=left).values("space").distinct().count() == 1
    assert Clinic.objects.live().filter(pk__in=rows[1]).count() == 2
