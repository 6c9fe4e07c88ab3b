"""Letters to volunteers."""

from datetime import datetime, time, timedelta

from clinics.models import Clinic, Status
from core import clock
from floor.letters.stand_ins import STAND_IN
from floor.services.stand_ins import end_stand_in, name_stand_in
from people.models import AddressChange, Clearance, NoticeStep, Volunteer
from shifts.letters import backup_swaps, clearances, own_page, shifts
from shifts.models import Assignment, Backup, BackupCall, Reply, Shift, Swap
from shifts.services import profile
from shifts.services.backup import end_backup, make_backup
from shifts.services.cover import ask_volunteer, record_reply, release_volunteer
from shifts.services.mail_preferences import stop_reminders
from shifts.services.notices import plan_notices
from shifts.services.own_page import send_own_page
from shifts.services.reminders import plan_reminders
from shifts.services.swaps import answer_swap, offer_swap
from tests.outbox.examples.clinics import booked, cancel, change
from tests.outbox.examples.kept import Example, World, example


def _asked(world: World, **more: object) -> Assignment:
    clinic = booked(world, **more)
    shift = Shift.objects.filter(clinic=clinic, duty__code="coach").select_related("clinic__center")[0]
    return ask_volunteer(shift=shift, volunteer=world.make_volunteer(), now=world.now)


def _accepted(world: World, **more: object) -> Assignment:
    return record_reply(assignment=_asked(world, **more), reply=Reply.ACCEPTED, by="themselves", now=world.now)


@example(shifts.SHIFT_ASK)
def shift_ask(world: World) -> Example:
    row = _asked(world)
    return Example(lambda: record_reply(assignment=row, reply=Reply.ACCEPTED, by="themselves", now=world.now))


@example(shifts.SHIFT_CHANGED)
def shift_changed(world: World) -> Example:
    clinic = _accepted(world).shift.clinic
    change(world, clinic, day=clinic.day + timedelta(days=1))
    return Example(lambda: Assignment.objects.all().delete())


@example(shifts.SHIFT_TOLD)
def shift_told(world: World) -> Example:
    clinic = _accepted(world).shift.clinic
    change(world, clinic, starts=time(9, 40), ends=time(11, 40))
    return Example(cancel(world, clinic))


@example(shifts.SHIFT_RELEASED)
def shift_released(world: World) -> Example:
    row = _accepted(world)
    release_volunteer(assignment=row, because="two of one name", now=world.now)
    return Example(lambda: Assignment.objects.update(released_at=None))


@example(shifts.CLINIC_CANCELLED)
def clinic_cancelled(world: World) -> Example:
    clinic = _accepted(world).shift.clinic
    cancel(world, clinic)()
    return Example(lambda: Clinic.objects.update(status=Status.CONFIRMED))


@example(shifts.REMINDER)
def reminder(world: World) -> Example:
    row = _accepted(world)
    begins = row.shift.clinic.starts_at
    plan_reminders(now=begins - timedelta(days=4))
    return Example(lambda: stop_reminders(volunteer=row.volunteer))


@example(STAND_IN)
def stand_in(world: World) -> Example:
    clinic = booked(world)
    row = name_stand_in(
        clinic=clinic, volunteer=world.make_volunteer(duties=("lead",)), by=world.coordinator, now=world.now
    )
    return Example(lambda: end_stand_in(row=row, now=world.now))


@example(clearances.CLEARANCE_NOTICE)
def clearance_notice(world: World) -> Example:
    NoticeStep.objects.create(days_before=7)
    world.make_volunteer()
    _expire(world, 7)
    plan_notices(now=world.now)
    return Example(lambda: Clearance.objects.update(expires_on=clock.today() + timedelta(days=300)))


@example(clearances.CLINIC_BREAKS)
def clinic_breaks(world: World) -> Example:
    row = _accepted(world)
    _expire(world, 5)
    plan_notices(now=world.now)
    return Example(lambda: release_volunteer(assignment=row, because="ill", now=world.now))


def _expire(world: World, days: int) -> None:
    today = clock.today()
    Clearance.objects.filter(kind__code="conduct").update(
        issued_on=today - timedelta(days=300), expires_on=today + timedelta(days=days)
    )


def _backs_up(world: World) -> tuple[Assignment, Backup]:
    row = _accepted(world)
    other = world.make_volunteer()
    return row, make_backup(shift=row.shift, volunteer=other, now=world.now)


@example(backup_swaps.BACKUP)
def backup(world: World) -> Example:
    _, row = _backs_up(world)
    return Example(lambda: end_backup(backup=row))


@example(backup_swaps.BACKUP_ENDED)
def backup_ended(world: World) -> Example:
    _, row = _backs_up(world)
    cancel(world, row.clinic)()
    return Example(lambda: Volunteer.objects.update(left_on=clock.today()))


def _dropped_late(world: World) -> datetime:
    row, _ = _backs_up(world)
    late = row.shift.clinic.starts_at - timedelta(hours=5)
    record_reply(assignment=row, reply=Reply.DECLINED, by="themselves", now=late)
    return late


@example(backup_swaps.BACKUP_CALL)
def backup_call(world: World) -> Example:
    late = _dropped_late(world)
    return Example(lambda: BackupCall.objects.all().delete(), late)


@example(backup_swaps.LATE_DROP)
def late_drop(world: World) -> Example:
    late = _dropped_late(world)
    return Example(lambda: Clinic.objects.update(status=Status.CANCELLED), late)


def _swap(world: World) -> Swap:
    other = world.make_volunteer(email="other@example.org")
    swap = offer_swap(assignment=_accepted(world), email=other.email, now=world.now)
    assert swap is not None
    return swap


@example(backup_swaps.SWAP_ASK)
def swap_ask(world: World) -> Example:
    swap = _swap(world)
    return Example(lambda: answer_swap(swap=swap, yes=False, now=world.now))


@example(backup_swaps.SWAP_DONE)
def swap_done(world: World) -> Example:
    swap = answer_swap(swap=_swap(world), yes=False, now=world.now)
    return Example(lambda: release_volunteer(assignment=swap.assignment, because="ill", now=world.now))


@example(own_page.OWN_PAGE)
def own_page_link(world: World) -> Example:
    send_own_page(volunteer=world.make_volunteer(), now=world.now)
    return Example(lambda: Volunteer.objects.update(left_on=clock.today()))


@example(own_page.ADDRESS_CONFIRM)
def address_confirm(world: World) -> Example:
    profile.ask_new_address(volunteer=world.make_volunteer(), email="new@example.org", now=world.now)
    return Example(lambda: AddressChange.objects.all().delete())


@example(own_page.ADDRESS_CHANGED)
def address_changed(world: World) -> Example:
    change = profile.ask_new_address(volunteer=world.make_volunteer(), email="new@example.org", now=world.now)
    profile.confirm_new_address(change=change, now=world.now)
    return Example(lambda: _delete_volunteers())


def _delete_volunteers() -> None:
    Clearance.objects.all().delete()
    Volunteer.objects.all().delete()
