"""What the worker does when woken. Names are contracts; each may run twice without harm."""

from celery import shared_task

from core import clock
from runsheets.services.run_sheets import find_run_sheet, find_waiting_run_sheets, purge_run_sheets


@shared_task(name="runsheets.find_sheet")
def search_run_sheet(pk: int) -> None:
    find_run_sheet(pk=pk)


@shared_task(name="runsheets.find_waiting_sheets")
def find_waiting_sheets() -> None:
    find_waiting_run_sheets()


@shared_task(name="runsheets.purge_run_sheets")
def purge_old_run_sheets() -> None:
    purge_run_sheets(now=clock.now())
