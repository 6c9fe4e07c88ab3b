"""Writing notes: once for each key, what whoever listens hears, what is dropped, and the sender woken once."""

import pytest

from outbox.models import Note, NoteState
from outbox.services.writing import (
    drop_waiting,
    enqueue_sender,
    new_note,
    noting,
    write_missing,
    write_note,
)
from people.letters.accounts import PASSWORD_RESET

pytestmark = pytest.mark.django_db


@pytest.fixture
def write(admin, now):
    def inner(key="k", **more):
        return write_note(
            key=key,
            kind=PASSWORD_RESET,
            to_name=admin.name,
            to_email=admin.email,
            summary="s",
            due_at=now,
            about=[admin],
            **more,
        )

    return inner


def test_a_note_of_one_key_is_written_once_and_the_second_time_says_nothing(write):
    first = write()

    assert first == Note.objects.get() and first.state == NoteState.WAITING
    assert write() is None and write("other") is not None
    assert Note.objects.count() == 2 and len(set(Note.objects.values_list("message_id", flat=True))) == 2


def test_the_sender_is_woken_once_for_a_transaction_and_not_when_nothing_was_written(
    write, django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks() as called:
        write("a")
        write("b")
        write("a")
    assert called == [enqueue_sender]

    with django_capture_on_commit_callbacks() as called:
        write("a")
    assert called == []


def test_who_listens_hears_what_is_written_meanwhile_and_nothing_else(write):
    write("before")
    with noting() as outer:
        first = write("first")
        with noting() as inner:
            second = write("second")
            write("first")
        third = write("third")
    write("after")

    assert outer == [first, third] and inner == [second]


def test_what_waits_is_dropped_with_its_reason_and_what_went_out_is_left(write, admin, now):
    for key, state in (("waits", "waiting"), ("stuck", "stuck"), ("other", "waiting")):
        write(key)
        Note.objects.filter(key=key).update(state=state)
    write("sent")
    Note.objects.filter(key="sent").update(state=NoteState.SENT, sent_at=now)

    assert drop_waiting(why="No longer true.", about=admin, key__in=["waits", "stuck", "sent"]) == 1

    fates = dict(Note.objects.values_list("key", "state"))
    assert fates == {"waits": "dropped", "stuck": "stuck", "other": "waiting", "sent": "sent"}
    assert Note.objects.get(key="waits").last_answer == "No longer true."


def test_only_the_kinds_named_are_dropped_and_none_of_those_left_out(write, admin, coordinator):
    for kind in ("a", "b", "c"):
        note = write(kind)
        Note.objects.filter(pk=note.pk).update(kind=kind)

    assert drop_waiting(why="Not this one.", about=coordinator) == 0
    assert drop_waiting(why="One.", about=admin, kinds=["a"]) == 1
    assert drop_waiting(why="All but one.", about=admin, but=["c"]) == 1
    assert dict(Note.objects.values_list("kind", "last_answer")) == {"a": "One.", "b": "All but one.", "c": ""}


def test_facts_without_a_value_are_left_out_and_no_language_is_english(write):
    note = write(revision=0, sequence=None)

    assert (note.facts, note.language) == ({"revision": 0}, "en")
    assert write("other", language="es").language == "es"


def test_planned_notes_are_written_once_and_wake_nobody(now, admin, django_capture_on_commit_callbacks):
    def planned(*keys):
        person = {"kind": PASSWORD_RESET, "to_name": admin.name, "to_email": admin.email}
        return [new_note(key=key, summary="s", due_at=now, about=[admin], **person) for key in keys]

    with django_capture_on_commit_callbacks() as called:
        assert write_missing(planned("a", "b")) == 2
        assert write_missing(planned("b", "c")) == 1
    assert sorted(Note.objects.values_list("key", flat=True)) == ["a", "b", "c"] and called == []
