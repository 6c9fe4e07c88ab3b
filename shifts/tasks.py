"""What the worker does when woken. Names are contracts; each may run twice without harm."""

from celery import shared_task

from core import clock
from shifts.services.eligibility import release_all_ineligible
from shifts.services.notices import plan_notices
from shifts.services.proposals import search, search_waiting
from shifts.services.reminders import plan_reminders
from shifts.services.rounds import next_rounds


@shared_task(name="shifts.release_ineligible")
def release_ineligible() -> None:
    release_all_ineligible(now=clock.now())


@shared_task(name="shifts.plan_clearance_notices")
def plan_clearance_notices() -> None:
    plan_notices(now=clock.now())


@shared_task(name="shifts.plan_reminders")
def plan_reminder_notes() -> None:
    plan_reminders(now=clock.now())


@shared_task(name="shifts.next_rounds")
def next_asking_rounds() -> None:
    next_rounds(now=clock.now())


@shared_task(name="shifts.search_cover")
def search_cover(pk: int) -> None:
    search(pk=pk)


@shared_task(name="shifts.search_waiting_cover")
def search_waiting_cover() -> None:
    search_waiting(now=clock.now())
