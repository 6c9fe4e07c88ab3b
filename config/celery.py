"""Celery and Redis only wake the work; the tables hold what there is to do."""

import os
from typing import Any

from celery import Celery, Task

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")


class ActingTask(Task):
    """A job whose writes carry its name."""

    def __call__(self, *args: Any, **options: Any) -> Any:
        # What these need of Django is there once the apps are ready.
        from config.acting import How, acting
        from config.once import reading

        with reading(), acting(f"job {self.name}", How.JOB):
            return super().__call__(*args, **options)


app = Celery("whistlestop", task_cls=ActingTask)
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()


@app.on_after_configure.connect
def timetable(sender: Celery, **kwargs: object) -> None:
    from django.conf import settings

    sender.conf.beat_schedule = {
        "plan-reminders": {
            "task": "scheduling.plan_reminders",
            "schedule": settings.PLAN_EVERY_SECONDS,
            "options": {"expires": settings.PLAN_EVERY_SECONDS},
        },
        "pass-on-places": {
            "task": "scheduling.pass_on_places",
            "schedule": settings.PLAN_EVERY_SECONDS,
            "options": {"expires": settings.PLAN_EVERY_SECONDS},
        },
        "purge-leavers": {"task": "scheduling.forget_leavers", "schedule": 24 * 3600},
        "purge-families": {"task": "scheduling.forget_families", "schedule": 24 * 3600},
        "purge-run-sheets": {"task": "scheduling.forget_run_sheets", "schedule": 24 * 3600},
        "look-at-clearances": {
            "task": "scheduling.look_at_clearances",
            "schedule": settings.LOOK_EVERY_SECONDS,
            "options": {"expires": settings.LOOK_EVERY_SECONDS},
        },
        "search-waiting-cover": {
            "task": "scheduling.search_waiting_cover",
            "schedule": settings.SEND_EVERY_SECONDS,
            "options": {"expires": settings.SEND_EVERY_SECONDS},
        },
        "find-waiting-kit-plans": {
            "task": "scheduling.find_waiting_kit_plans",
            "schedule": settings.SEND_EVERY_SECONDS,
            "options": {"expires": settings.SEND_EVERY_SECONDS},
        },
        "find-waiting-run-sheets": {
            "task": "scheduling.find_waiting_run_sheets",
            "schedule": settings.SEND_EVERY_SECONDS,
            "options": {"expires": settings.SEND_EVERY_SECONDS},
        },
        "next-asking-rounds": {
            "task": "scheduling.next_rounds",
            "schedule": settings.PLAN_EVERY_SECONDS,
            "options": {"expires": settings.PLAN_EVERY_SECONDS},
        },
        "send-notes": {
            "task": "scheduling.send_notes",
            "schedule": settings.SEND_EVERY_SECONDS,
            "options": {"expires": settings.SEND_EVERY_SECONDS},
        },
    }
