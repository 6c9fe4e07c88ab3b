"""What the worker does when woken. Names are contracts; each may run twice without harm."""

from celery import shared_task

from kits.services.kit_plans import find_kit_plan, find_waiting_kit_plans


@shared_task(name="kits.find_plan")
def find_kit_plan_moves(pk: int) -> None:
    find_kit_plan(pk=pk)


@shared_task(name="kits.find_waiting_plans")
def find_waiting_plans() -> None:
    find_waiting_kit_plans()
