"""What the worker does when woken. Names are contracts; each may run twice without harm."""

from celery import shared_task

from core import clock
from families.services.retention import purge_children, purge_leftovers
from families.services.retention_guardians import purge_guardians
from families.services.spots import pass_on_unanswered
from families.services.waiver_reminders import plan_waiver_reminders


@shared_task(name="families.pass_on_spots")
def pass_on_spots() -> None:
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
