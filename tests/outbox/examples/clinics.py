"""Clinics that examples are about."""

from collections.abc import Callable
from dataclasses import replace
from datetime import time, timedelta

from clinics.models import Clinic
from core import clock
from scheduling.models import Answer, Booking
from scheduling.services.bookings import ClinicFacts, answer_booking, book_clinic
from scheduling.services.cancelling import cancel_clinic
from scheduling.services.changing import change_clinic
from scheduling.services.clinic_facts import facts_of
from tests.outbox.examples.kept import World


def facts(world: World, **more: object) -> ClinicFacts:
    space = world.make_space()
    facts = ClinicFacts(
        center=space.center, space=space, day=clock.today() + timedelta(days=14), starts=time(9, 30),
        ends=time(11, 30), bands=[(7, 10, 20)],
    )  # fmt: skip
    return replace(facts, **more)  # type: ignore[arg-type]


def booked(world: World, **more: object) -> Clinic:
    return book_clinic(facts=facts(world, **more), now=world.now)


def agreed(world: World) -> Clinic:
    clinic = booked(world)
    answer_booking(booking=Booking.objects.get(clinic=clinic), answer=Answer.AGREED, now=world.now)
    return clinic


def change(world: World, clinic: Clinic, **change: object) -> None:
    fresh = Clinic.objects.select_related("center").prefetch_related("bands").get(pk=clinic.pk)
    facts = replace(facts_of(fresh), **change)  # type: ignore[arg-type]
    change_clinic(clinic=fresh, facts=facts, now=world.now)


def cancel(world: World, clinic: Clinic) -> Callable[[], object]:
    return lambda: cancel_clinic(clinic=clinic, because="Burst pipe", now=world.now)
