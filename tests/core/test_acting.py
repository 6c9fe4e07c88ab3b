"""Each row of the history says who did it: through a page, a mailed link, a worker's job, a table and a command.

What each page by link, phone or public form writes is in test_acting_pages.py.
"""

import json
import sys

import pghistory
import pytest
from django.apps import apps
from django.conf import settings
from django.core.management import call_command, get_commands, load_command_class
from django.urls import get_resolver, reverse

from config.celery import ActingTask, app
from core import links
from core.acting import ActingCommand, How, acting, who_did
from core.references import reference
from families.models import Guardian
from people.models import ClearanceEvent, ClearanceState
from people.services.imports import read_table, start_taking
from people.services.merge import merge_volunteers
from people.tasks import take_import
from runsheets.apps import write_activities
from runsheets.models import Activity
from shifts.models import Assignment, Reply
from tests.histories import events_of, last_change

ROOT = settings.BASE_DIR
pytestmark = pytest.mark.django_db


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
    assert who_did([event])(event) == "automatically"


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
    assert who_did([event])(event) == f"{admin.name}, from an imported file"


def test_whoever_is_forgotten_is_not_named_by_the_history_either(client, make_assignment):
    row = make_assignment(reply=Reply.NEEDS_ACTION)
    name = row.volunteer.name
    token = links.make("shift", subject=row.pk, counter=row.link_counter, expires_at=row.shift.clinic.ends_at)
    client.post(reverse("shift-reply", args=[token]), {"answer": "yes"})
    assert name not in json.dumps(list(pghistory.models.Context.objects.values_list("metadata", flat=True)))


def test_a_table_that_a_worker_takes_is_written_by_whoever_pressed(admin, make_volunteer, now):
    person = make_volunteer(cleared=())
    raw = f"email,kind,state,issued_on,reference\n{person.email},screening,clear,2026-01-10,R-1\n"
    table = read_table(what="clearances", name="c.csv", raw=raw.encode(), by=admin, now=now, today=now.date())
    start_taking(table=table, by=admin)
    take_import(table.pk)

    change = last_change(person.clearances.get(), "reference")
    assert (change.before, change.after, change.by, change.how) == (None, "R-1", reference(admin), "import")


def test_what_every_migrate_writes_is_written_by_it_and_within_a_command_by_that():
    Activity.objects.all().delete()
    write_activities()
    change = last_change(Activity.objects.earliest("pk"), "name")
    assert (change.by, change.how, change.words) == ("command migrate", "command", "command migrate")

    Activity.objects.all().delete()
    with acting("command prepare_demo", How.COMMAND):
        write_activities()
    assert last_change(Activity.objects.earliest("pk"), "name").by == "command prepare_demo"


def test_what_somebody_did_is_told_of_the_record_that_theirs_became_one_with(client, make_assignment, make_volunteer):
    row, kept = make_assignment(reply=Reply.NEEDS_ACTION), make_volunteer("Kept Ash")
    token = links.make("shift", subject=row.pk, counter=row.link_counter, expires_at=row.shift.clinic.ends_at)
    client.post(reverse("shift-reply", args=[token]), {"answer": "yes"})
    answered = events_of(row)[-1].pk
    with acting(row.volunteer, How.LINK):
        merge_volunteers(keep=kept, other=row.volunteer, now=row.asked_at)

    events = events_of(row)
    (told,) = [event for event in events if event.pk == answered]
    assert told.pgh_context.metadata["by"] == events[-1].pgh_context.metadata["by"] == reference(kept)
    assert told.pgh_context.metadata["how"] == "link" and "url" in told.pgh_context.metadata
    assert who_did([told])(told) == "Kept Ash, by link"


def test_a_public_page_is_named_where_nobody_is_known_or_their_record_is_gone(make_assignment):
    with acting("nobody", How.PAGE) as facts:
        del facts.metadata["by"]
        unknown = make_assignment()
    with acting(Guardian.objects.create(name="Gone Ash", phone="555-0188", registered_at=unknown.asked_at), How.PAGE):
        gone = make_assignment()
    assert last_change(gone, "reply").words == "Gone Ash, on a public page"
    Guardian.objects.all().delete()

    assert last_change(unknown, "reply").words == last_change(gone, "reply").words == "a public page"


def test_every_job_of_a_worker_carries_its_name():
    app.loader.import_default_modules()
    ours = {name: task for name, task in app.tasks.items() if not name.startswith("celery.")}

    assert {"people.take_import", "shifts.next_rounds", "outbox.send_notes"} <= set(ours)
    assert [name for name, task in ours.items() if not isinstance(task, ActingTask)] == []


def test_every_command_carries_its_name_but_those_that_write_no_row():
    roots = {config.name for config in apps.get_app_configs() if config.path.startswith(str(ROOT / config.name))}
    ours = {name: load_command_class(home, name) for name, home in get_commands().items() if home in roots}

    assert {"purge", "load_demo", "turn_keys"} <= set(ours)
    without = {name for name, command in ours.items() if not isinstance(command, ActingCommand)}
    assert without == {"make_fonts", "make_words"}, "these write files"


# Pages by token that ask nobody whose link it is: what each writes has no history, or it writes nothing.
ASK_NOBODY = {
    "password_reset_confirm": "Django's own, which writes the account's password",
    "register-done": "shows what became of a sending",
    "office-feed-ics": "a calendar of everything, which belongs to no row",
}


def test_every_page_by_link_asks_whose_link_it_is(client, monkeypatch):
    asked = []

    def read(purpose, token, **more):
        asked.append(sys._getframe(1).f_code.co_name)
        raise links.AlteredLink("This link is incomplete.")

    monkeypatch.setattr(links, "read", read)
    by_token = [one for one in addresses() if "token" in one.pattern.converters]
    assert ASK_NOBODY.keys() < {one.name for one in by_token}
    by_token = [one for one in by_token if one.name != "password_reset_confirm"]
    assert len(by_token) >= 25
    for one in by_token:
        asked.clear()
        address = reverse(one.name, kwargs=dict.fromkeys(one.pattern.converters, 1))
        answer = client.post(address)
        if answer.status_code == 405:
            # Nothing can be written by it; it says whose it is all the same.
            answer = client.get(address)
            assert one.name in ASK_NOBODY or asked == ["subject_of"], one.name
        else:
            assert one.name not in ASK_NOBODY and asked == ["subject_of"], one.name
        assert answer.status_code == 404, one.name


def addresses():
    for pattern in get_resolver().url_patterns:
        yield from getattr(pattern, "url_patterns", [pattern])
