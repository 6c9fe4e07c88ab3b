"""Each row of the history says who did it: through a page, a mailed link, a worker's job, a table and a command."""

import json

import pghistory
import pytest
from django.core.management import call_command
from django.urls import reverse

from config.celery import app
from core import links
from core.acting import How, acting, who_did
from core.references import reference
from people.models import ClearanceEvent, ClearanceState
from shifts.models import Assignment, Reply

pytestmark = pytest.mark.django_db


def events_of(row):
    return list(
        type(row).pgh_event_model.objects.filter(pgh_obj_id=row.pk).select_related("pgh_context").order_by("pgh_id")
    )


def test_a_page_names_the_account(coordinator, signed_in, make_assignment):
    row = make_assignment()
    signed_in(coordinator).post(reverse("assignment-release", args=[row.pk]))

    event = events_of(row)[-1]
    assert event.pgh_context.metadata["by"] == reference(coordinator)
    assert event.pgh_context.metadata["how"] == "page"
    assert who_did([event])(event) == coordinator.name


def test_a_mailed_link_names_whose_link_it_is(client, make_assignment):
    row = make_assignment(reply=Reply.NEEDS_ACTION)
    token = links.make("shift", subject=row.pk, counter=row.link_counter, expires_at=row.shift.clinic.ends_at)
    client.post(reverse("shift-reply", args=[token]), {"answer": "yes"})

    before, after = events_of(row)[-2:]
    assert (before.reply, after.reply) == (Reply.NEEDS_ACTION, Reply.ACCEPTED)
    assert after.pgh_context.metadata["by"] == reference(row.volunteer)
    assert who_did([after])(after) == f"{row.volunteer.name}, by link"
    assert after.pgh_created_at


def test_a_job_names_itself(make_assignment):
    row = make_assignment()

    @app.task(name="tests.answer_for_them")
    def answer() -> None:
        Assignment.objects.filter(pk=row.pk).update(reply=Reply.DECLINED)

    answer()
    event = events_of(row)[-1]
    assert event.pgh_context.metadata == {"by": "job tests.answer_for_them", "how": "job"}
    assert who_did([event])(event) == "by itself"


def test_a_command_names_itself(admin, make_volunteer, monkeypatch, capsys):
    person = make_volunteer()
    row = person.clearances.first()

    def undo(**more):
        row.state = ClearanceState.AWAITING
        row.issued_on = row.expires_on = None
        row.save()
        return 1

    monkeypatch.setattr("scheduling.management.commands.purge.purge_leavers", undo)
    call_command("purge")
    (event,) = ClearanceEvent.objects.filter(pgh_obj_id=row.pk, pgh_label="update").select_related("pgh_context")
    assert event.pgh_context.metadata == {"by": "command purge", "how": "command"}
    assert who_did([event])(event) == "command purge"


def test_a_table_is_written_by_whoever_pressed(admin, make_volunteer):
    row = make_volunteer().clearances.first()
    with acting("job people.take_import", How.JOB), acting(admin, How.IMPORT):
        row.reference = "another"
        row.save()
    event = ClearanceEvent.objects.filter(pgh_obj_id=row.pk).select_related("pgh_context").latest("pgh_id")
    assert who_did([event])(event) == f"{admin.name}, from a table"


def test_whoever_is_forgotten_is_not_named_by_the_history_either(client, make_assignment):
    row = make_assignment(reply=Reply.NEEDS_ACTION)
    name = row.volunteer.name
    token = links.make("shift", subject=row.pk, counter=row.link_counter, expires_at=row.shift.clinic.ends_at)
    client.post(reverse("shift-reply", args=[token]), {"answer": "yes"})
    assert name not in json.dumps(list(pghistory.models.Context.objects.values_list("metadata", flat=True)))
