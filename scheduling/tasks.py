"""What the worker does when woken: one job for each task, so that one failing stops nothing else.

Names are contracts; each may run twice without harm.
"""

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

# Families.


@shared_task(name="families.pass_on_places")
def pass_on_places() -> None:
    pass_on_unanswered(now=clock.now())


@shared_task(name="families.plan_waiver_reminders")
def plan_waiver_reminder_notes() -> None:
    plan_waiver_reminders(now=clock.now())


@shared_task(name="families.purge_children")
def purge_due_children() -> None:
    purge_children(today=clock.today(), now=clock.now())


@shared_task(name="families.purge_guardians")
def purge_due_guardians() -> None:
    # After the children; where it comes first one night, those guardians go the night after.
    purge_guardians(today=clock.today(), now=clock.now())


@shared_task(name="families.purge_leftovers")
def purge_due_leftovers() -> None:
    purge_leftovers(now=clock.now())


# Shifts.


@shared_task(name="shifts.release_ineligible")
def release_ineligible() -> None:
    release_all_unfit(now=clock.now())


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


@shared_task(name="people.forget_leavers")
def forget_leavers() -> None:
    purge_leavers(today=clock.today(), months=settings.RETENTION_MONTHS, now=clock.now())


# Kits.


@shared_task(name="kits.find_plan")
def find_kit_plan_moves(pk: int) -> None:
    find_kit_plan(pk=pk)


@shared_task(name="kits.find_waiting_plans")
def find_waiting_plans() -> None:
    find_waiting_kit_plans()


# Run sheets.


@shared_task(name="runsheets.find_sheet")
def search_run_sheet(pk: int) -> None:
    find_run_sheet(pk=pk)


@shared_task(name="runsheets.find_waiting_sheets")
def find_waiting_sheets() -> None:
    find_waiting_run_sheets()


@shared_task(name="runsheets.purge_run_sheets")
def purge_old_run_sheets() -> None:
    purge_run_sheets(now=clock.now())


# Scheduling.


@shared_task(name="scheduling.plan_agreement_notices")
def plan_agreement_notes() -> None:
    plan_agreement_notices(now=clock.now())


@shared_task(name="scheduling.end_old_holds")
def end_holds_run_out() -> None:
    end_old_holds(now=clock.now())
