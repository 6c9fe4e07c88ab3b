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
    """One line for each job. A frequent job that waits until its next one is due is dropped."""
    from django.conf import settings

    sender.conf.beat_schedule = {
        **_every(
            settings.SEND_EVERY_SECONDS,
            "outbox.send_notes",
            "shifts.search_waiting_cover",
            "kits.find_waiting_plans",
            "runsheets.find_waiting_sheets",
        ),
        **_every(settings.PLAN_EVERY_SECONDS, "families.pass_on_spots", "shifts.plan_reminders", "shifts.next_rounds"),
        **_every(
            settings.LOOK_EVERY_SECONDS,
            "families.plan_waiver_reminders",
            "shifts.release_ineligible",
            "shifts.plan_clearance_notices",
            "scheduling.plan_agreement_notices",
            "scheduling.end_old_holds",
        ),
        **_daily(
            "people.forget_leavers",
            "families.purge_children",
            "families.purge_guardians",
            "families.purge_leftovers",
            "runsheets.purge_run_sheets",
        ),
    }


def _every(seconds: int, *tasks: str) -> dict[str, dict[str, Any]]:
    return {task: {"task": task, "schedule": seconds, "options": {"expires": seconds}} for task in tasks}


def _daily(*tasks: str) -> dict[str, dict[str, Any]]:
    # Without an end: a job of the night that waited for a worker until the morning is still worth doing.
    return {task: {"task": task, "schedule": DAY} for task in tasks}
