"""What the worker does when woken. Names are contracts; each may run twice without harm."""

from celery import shared_task

from outbox.services.sending import send_due


@shared_task(name="outbox.send_notes")
def send_notes() -> None:
    send_due()
