"""What the worker does when woken. Names are contracts; each may run twice without harm."""

from celery import shared_task
from django.conf import settings

from core import clock
from core.acting import How, acting
from people.models import Import
from people.services.imports import take_in_pieces
from people.services.retention import purge_leavers


@shared_task(name="people.take_import")
def take_import(pk: int) -> None:
    table = Import.objects.filter(pk=pk).first()
    if table is not None:
        # The job only carries out what someone clicked.
        with acting(table.by or "someone whose record is gone", How.IMPORT):
            take_in_pieces(table=table, now=clock.now())


@shared_task(name="people.forget_leavers")
def forget_leavers() -> None:
    purge_leavers(today=clock.today(), months=settings.RETENTION_MONTHS, now=clock.now())
