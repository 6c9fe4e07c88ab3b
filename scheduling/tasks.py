"""What the worker does when woken. Names are contracts; each may run twice without harm."""

from celery import shared_task

from core import clock
from scheduling.services.agreement_notices import plan_agreement_notices
from scheduling.services.hold_ends import end_old_holds


@shared_task(name="scheduling.plan_agreement_notices")
def plan_agreement_notes() -> None:
    plan_agreement_notices(now=clock.now())


@shared_task(name="scheduling.end_old_holds")
def end_holds_run_out() -> None:
    end_old_holds(now=clock.now())
