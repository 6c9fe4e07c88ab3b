"""What the worker does about people. Names are contracts; each may run twice without harm."""

from celery import shared_task

from config import clock
from people.models import Import
from people.services.imports import take_in_pieces


@shared_task(name="people.take_import")
def take_import(pk: int) -> None:
    table = Import.objects.filter(pk=pk).first()
    if table is not None:
        take_in_pieces(table=table, now=clock.now())
