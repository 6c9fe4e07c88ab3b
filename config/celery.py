"""Celery and Redis only wake the work; the tables hold what there is to do."""

import os
from typing import Any

from celery import Celery, Task

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")


class ActingTask(Task):
    """A job whose writes carry its name."""

    def __call__(self, *args: Any, **options: Any) -> Any:
        # What these need of Django is there once the apps are ready.
        from core.acting import How, acting
        from core.once import reading

        with reading(), acting(f"job {self.name}", How.JOB):
            return super().__call__(*args, **options)


app = Celery("whistlestop", task_cls=ActingTask)
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()

DAY = 24 * 3600


@app.on_after_configure.connect
def timetable(sender: Celery, **kwargs: object) -> None:
    """One line for each job; one that no worker took in its time is dropped, since the next is there by then."""
    from django.conf import settings

    plan, look, send = settings.PLAN_EVERY_SECONDS, settings.LOOK_EVERY_SECONDS, settings.SEND_EVERY_SECONDS
    sender.conf.beat_schedule = {
        "outbox.send_notes": _every(send, "outbox.send_notes"),
        "families.pass_on_places": _every(plan, "families.pass_on_places"),
        "families.plan_waiver_reminders": _every(look, "families.plan_waiver_reminders"),
        "families.purge_children": _daily("families.purge_children"),
        "families.purge_guardians": _daily("families.purge_guardians"),
        "families.purge_leftovers": _daily("families.purge_leftovers"),
        "shifts.release_ineligible": _every(look, "shifts.release_ineligible"),
        "shifts.plan_clearance_notices": _every(look, "shifts.plan_clearance_notices"),
        "shifts.plan_reminders": _every(plan, "shifts.plan_reminders"),
        "shifts.next_rounds": _every(plan, "shifts.next_rounds"),
        "shifts.search_waiting_cover": _every(send, "shifts.search_waiting_cover"),
        "people.forget_leavers": _daily("people.forget_leavers"),
        "kits.find_waiting_plans": _every(send, "kits.find_waiting_plans"),
        "runsheets.find_waiting_sheets": _every(send, "runsheets.find_waiting_sheets"),
        "runsheets.purge_run_sheets": _daily("runsheets.purge_run_sheets"),
        "scheduling.plan_agreement_notices": _every(look, "scheduling.plan_agreement_notices"),
        "scheduling.end_old_holds": _every(look, "scheduling.end_old_holds"),
    }


def _every(seconds: int, task: str) -> dict[str, Any]:
    return {"task": task, "schedule": seconds, "options": {"expires": seconds}}


def _daily(task: str) -> dict[str, Any]:
    # Without an end: a job of the night that waited for a worker until the morning is still worth doing.
    return {"task": task, "schedule": DAY}
