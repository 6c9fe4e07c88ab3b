"""Letters to accounts, applicants and centers."""

from dataclasses import replace
from datetime import time, timedelta

from django.conf import settings

from clinics.models import Agreement, Status
from clinics.services.agreements import take_back_agreement
from core import clock
from people.letters import accounts
from people.models import Application, User
from people.services import applications
from people.services.accounts import write_password_note
from scheduling.letters import agreements, bookings
from scheduling.models import Answer, Booking, BookingRequest, FormerBooking
from scheduling.services.agreement_notices import plan_agreement_notices
from scheduling.services.bookings import answer_booking, take_suggestion
from scheduling.services.hold_and_ask import hold_and_ask
from scheduling.services.hold_ends import end_old_holds
from tests.outbox.examples.clinics import agreed, booked, cancel, change, facts
from tests.outbox.examples.kept import Example, World, example


@example(accounts.PASSWORD_RESET)
def password_reset(world: World) -> Example:
    write_password_note(world.admin)
    return Example(lambda: User.objects.update(is_active=False))


def _application(world: World) -> Application:
    row = Application(
        name="Imara Venn", email="imara@example.org", phone="555-0111", duties=["coach"], home_area="Larkmoor",
        first_reference="Maude Ferriby",
    )  # fmt: skip
    return applications.apply(application=row, now=world.now)


@example(accounts.APPLY_CONFIRM)
def apply_confirm(world: World) -> Example:
    row = _application(world)
    return Example(lambda: applications.confirm_address(application=row))


@example(accounts.APPLY_MORE)
def apply_more(world: World) -> Example:
    row = applications.confirm_address(application=_application(world))
    applications.ask_for_more(application=row, question="Which days?", now=world.now)
    return Example(lambda: applications.answer_question(application=row, words="Saturdays"))


@example(accounts.APPLY_ACCEPTED)
def apply_accepted(world: World) -> Example:
    row = applications.confirm_address(application=_application(world))
    applications.accept(application=row, by=world.admin, now=world.now)
    return Example(lambda: Application.objects.all().delete())


@example(accounts.APPLY_DECLINED)
def apply_declined(world: World) -> Example:
    row = applications.confirm_address(application=_application(world))
    applications.decline(application=row, reason="We have enough coaches.", by=world.admin, now=world.now)
    return Example(lambda: Application.objects.all().delete())


@example(agreements.AGREEMENT_ENDING)
def agreement_ending(world: World) -> Example:
    center = world.make_center(asks_insurance=True)
    today = clock.today()
    row = Agreement.objects.create(
        center=center, kind="insurance", from_day=today - timedelta(days=300), until_day=today + timedelta(days=30),
        recorded_at=world.now,
    )  # fmt: skip
    plan_agreement_notices(now=world.now)
    return Example(lambda: take_back_agreement(agreement=row, by=world.admin, now=world.now))


@example(bookings.BOOKING_ASK)
def booking_ask(world: World) -> Example:
    return Example(cancel(world, booked(world)))


@example(bookings.BOOKING_ASK_MANY)
def booking_ask_many(world: World) -> Example:
    one = facts(world)
    dates = [one, replace(one, day=one.day + timedelta(days=7))]
    hold_and_ask(dates=dates, now=world.now, named=lambda number, reason: reason)
    return Example(lambda: BookingRequest.objects.all().delete())


@example(bookings.HOLD_ENDING)
def hold_ending(world: World) -> Example:
    clinic = booked(world, day=clock.today() + timedelta(days=40))
    later = world.now + timedelta(days=settings.HOLD_DAYS - 2)
    end_old_holds(now=later)
    booking = Booking.objects.get(clinic=clinic)
    return Example(lambda: answer_booking(booking=booking, answer=Answer.AGREED, now=later))


@example(bookings.BOOKING_SHORTER)
def booking_shorter(world: World) -> Example:
    clinic = agreed(world)
    change(world, clinic, starts=time(10), ends=time(11))
    return Example(cancel(world, clinic))


@example(bookings.BOOKING_TAKEN)
def booking_taken(world: World) -> Example:
    clinic = booked(world)
    booking = Booking.objects.get(clinic=clinic)
    other = (clinic.day, time(13), time(15))
    booking = answer_booking(booking=booking, answer=Answer.ANOTHER_TIME, suggested=other, now=world.now)
    take_suggestion(booking=booking, now=world.now)
    return Example(lambda: Booking.objects.filter(pk=booking.pk).update(status=Status.TENTATIVE))


@example(bookings.BOOKING_CALLED_OFF)
def booking_called_off(world: World) -> Example:
    clinic = booked(world)
    cancel(world, clinic)()
    return Example(lambda: Booking.objects.filter(clinic=clinic).update(status=Status.TENTATIVE))


@example(bookings.SPACE_RELEASED)
def space_released(world: World) -> Example:
    clinic, space = agreed(world), world.make_space()
    change(world, clinic, center=space.center, space=space)
    return Example(lambda: FormerBooking.objects.all().delete())
