"""What the worker does when woken. Names are contracts; each may run twice without harm."""

from celery import shared_task
from django.conf import settings

from config import clock
from people.services.retention import purge_leavers
from scheduling.services.agreement_notices import plan_agreement_notices
from scheduling.services.expiry import end_old_holds
from scheduling.services.families.keeping import purge_children, purge_leftovers
from scheduling.services.families.keeping_guardians import purge_guardians
from scheduling.services.families.places import pass_on_unanswered
from scheduling.services.families.waiver_reminders import plan_waiver_reminders
from scheduling.services.fitness import release_all_unfit
from scheduling.services.kit_plans import find_kit_plan, find_waiting_kit_plans
from scheduling.services.notices import plan_notices
from scheduling.services.proposals import search, search_waiting
from scheduling.services.reminders import plan_reminders
from scheduling.services.rounds import next_rounds
from scheduling.services.run_sheets import find_run_sheet, find_waiting_run_sheets, purge_run_sheets
from scheduling.services.sending import send_due


@shared_task(name="scheduling.send_notes")
def send_notes() -> None:
    send_due()


@shared_task(name="scheduling.plan_reminders")
def plan_reminder_notes() -> None:
    plan_reminders(now=clock.now())


@shared_task(name="scheduling.pass_on_places")
def pass_on_places() -> None:
    pass_on_unanswered(now=clock.now())


@shared_task(name="scheduling.look_at_clearances")
def look_at_clearances() -> None:
    now = clock.now()
    release_all_unfit(now=now)
    plan_notices(now=now)
    plan_agreement_notices(now=now)
    end_old_holds(now=now)
    plan_waiver_reminders(now=now)


@shared_task(name="scheduling.search_cover")
def search_cover(pk: int) -> None:
    search(pk=pk)


@shared_task(name="scheduling.search_waiting_cover")
def search_waiting_cover() -> None:
    search_waiting(now=clock.now())


@shared_task(name="scheduling.find_waiting_kit_plans")
def find_kit_plans() -> None:
    find_waiting_kit_plans()


@shared_task(name="scheduling.find_waiting_run_sheets")
def find_run_sheets() -> None:
    find_waiting_run_sheets()


@shared_task(name="scheduling.find_kit_plan")
def find_kit_plan_moves(pk: int) -> None:
    find_kit_plan(pk=pk)


@shared_task(name="scheduling.find_run_sheet")
def search_run_sheet(pk: int) -> None:
    find_run_sheet(pk=pk)


@shared_task(name="scheduling.next_rounds")
def next_asking_rounds() -> None:
    next_rounds(now=clock.now())


@shared_task(name="scheduling.forget_leavers")
def forget_leavers() -> None:
    purge_leavers(today=clock.today(), months=settings.RETENTION_MONTHS, now=clock.now())


@shared_task(name="scheduling.forget_families")
def forget_families() -> None:
    purge_children(today=clock.today(), now=clock.now())
    purge_guardians(today=clock.today(), now=clock.now())
    purge_leftovers(now=clock.now())


@shared_task(name="scheduling.forget_run_sheets")
def forget_run_sheets() -> None:
    purge_run_sheets(now=clock.now())
