"""Letters to guardians."""

import uuid
from datetime import date, timedelta

from clinics.models import Clinic, Status
from core import clock
from families.letters import families, family_requests
from families.models import FamilyRequest, Guardian, GuardianAddress, Spot, SpotState, Waiver
from families.services.family_facts import save_reminders
from families.services.family_page import (
    ask_guardian_address,
    ask_request,
    confirm_guardian_address,
    send_family_link,
)
from families.services.registering import register
from families.services.spots import answer_offer, end_spot, pass_on_unanswered
from families.services.waiver_reminders import plan_waiver_reminders
from tests.households import confirmed
from tests.outbox.examples.clinics import cancel, change
from tests.outbox.examples.kept import Example, World, example


def _entered(world: World, clinic: Clinic, email: str = "perdita@example.org") -> Spot:
    """Wrenna's household at a clinic, its address confirmed."""
    child = ("Wrenna Thornapple", date(clinic.day.year - 8, 1, 1))
    facts = world.household(child, guardian_name="Perdita Ash", email=email, language=world.language)
    spot = register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=world.now).spots[0]
    assert spot.guardian is not None
    confirmed(spot.guardian, world.now)
    return spot


def _guardian(world: World) -> Guardian:
    guardian = _entered(world, world.make_clinic()).guardian
    assert guardian is not None
    return guardian


def _forget() -> None:
    Guardian.objects.update(forgotten_at=clock.now())


@example(families.SPOTS)
def spots(world: World) -> Example:
    spot = _entered(world, world.make_clinic())
    return Example(lambda: end_spot(spot=spot, because="ill", now=world.now))


@example(families.SPOT_OFFER)
def spot_offer(world: World) -> Example:
    spot = _offered(world)
    return Example(lambda: answer_offer(spot=spot, yes=True, now=world.now))


def _offered(world: World) -> Spot:
    """A spot that came free for Wrenna, who waited."""
    clinic = world.make_clinic(children=1)
    first = register(clinic=clinic, facts=world.household(), once=uuid.uuid4(), now=world.now).spots[0]
    spot = _entered(world, clinic)
    end_spot(spot=first, because="ill", now=world.now)
    spot.refresh_from_db()
    return spot


@example(families.SPOT_LOST)
def spot_lost(world: World) -> Example:
    spot = _offered(world)
    assert spot.answer_by is not None
    late = spot.answer_by + timedelta(minutes=1)
    pass_on_unanswered(now=late)
    return Example(lambda: Spot.objects.update(state=SpotState.HELD), late)


@example(families.FAMILY_LINK)
def family_link(world: World) -> Example:
    send_family_link(guardian=_guardian(world), now=world.now)
    return Example(_forget)


@example(families.FAMILY_MOVED)
def family_moved(world: World) -> Example:
    clinic = world.make_clinic()
    spot = _entered(world, clinic)
    change(world, clinic, day=clinic.day + timedelta(days=1))
    return Example(lambda: end_spot(spot=spot, because="ill", now=world.now))


@example(families.FAMILY_CANCELLED)
def family_cancelled(world: World) -> Example:
    clinic = world.make_clinic()
    _entered(world, clinic)
    cancel(world, clinic)()
    return Example(lambda: Clinic.objects.update(status=Status.CONFIRMED))


@example(families.WAIVER_ASK)
def waiver_ask(world: World) -> Example:
    guardian = _guardian(world)
    Waiver.objects.all().delete()
    plan_waiver_reminders(now=world.now)
    return Example(lambda: save_reminders(guardian=guardian, wanted=False))


@example(families.FAMILY_ADDRESS_CONFIRM)
def family_address_confirm(world: World) -> Example:
    ask_guardian_address(guardian=_guardian(world), email="new@example.org", now=world.now)
    return Example(lambda: GuardianAddress.objects.all().delete())


@example(families.FAMILY_ADDRESS_CHANGED)
def family_address_changed(world: World) -> Example:
    change = ask_guardian_address(guardian=_guardian(world), email="new@example.org", now=world.now)
    confirm_guardian_address(change=change, now=world.now)
    return Example(_forget)


@example(family_requests.FAMILY_REQUEST)
def family_request(world: World) -> Example:
    ask_request(guardian=_guardian(world), what="copy", now=world.now)
    return Example(lambda: FamilyRequest.objects.all().delete())
