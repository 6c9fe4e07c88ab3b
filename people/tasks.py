"""What the worker does about people. Names are contracts; each may run twice without harm."""

from celery import shared_task

from config import clock
from config.acting import How, acting
from people.models import Import
from people.services.imports import take_in_pieces


@shared_task(name="people.take_import")
def take_import(pk: int) -> None:
    table = Import.objects.filter(pk=pk).first()
    if table is not None:
        # The worker only carries out what somebody pressed.
        with acting(table.by or "somebody whose record is gone", How.IMPORT):
            take_in_pieces(table=table, now=clock.now())
