"""Planning from several processes at the same moment writes one row each."""

import threading
from collections import Counter

import pytest
from django.db import connection

from core import clock
from outbox.models import Note
from shifts.models import Assignment
from shifts.services.reminders import plan_reminders

pytestmark = pytest.mark.django_db(transaction=True)


def test_four_planners_at_once_write_each_reminder_once(make_assignment, make_shift, make_clinic):
    for _ in range(6):
        make_assignment(make_shift(make_clinic(days=6)))
    now = clock.now()
    barrier = threading.Barrier(4)

    def plan():
        try:
            barrier.wait(timeout=60)
            plan_reminders(now=now)
        finally:
            connection.close()

    threads = [threading.Thread(target=plan) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=120)

    steps = Counter((note.number_of(Assignment), note.facts["step"]) for note in Note.objects.all())
    assert len(steps) == 12 and set(steps.values()) == {1}
