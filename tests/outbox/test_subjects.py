"""What a note is about: how it is named, asked for, changed and forgotten, without a foreign key to anybody."""

import pytest
from django.db import connection

from core.merge import merge_rows
from core.references import reference, references
from outbox.models import Note
from outbox.services.subjects import change_subject, forget_about, forget_about_any, turn_language
from outbox.services.writing import write_note
from people.models import User, Volunteer

pytestmark = pytest.mark.django_db


@pytest.fixture
def write(now):
    def inner(key, *about, **more):
        note = write_note(
            key=key, kind="a", to_name="x", to_email="x@example.org", summary="s", due_at=now, about=about, **more
        )
        assert note is not None
        return note

    return inner


def keys(rows):
    return sorted(rows.values_list("key", flat=True))


def test_a_reference_names_the_table_and_the_number(admin):
    assert reference(admin) == reference(User, admin.pk) == f"people.user:{admin.pk}"
    assert references([admin, None, admin]) == [reference(admin)]
    with pytest.raises(ValueError, match="no number yet"):
        reference(User(name="Nobody"))


def test_the_outbox_has_no_foreign_key():
    assert [field for field in Note._meta.get_fields() if field.is_relation] == []


def test_notes_are_found_by_what_they_are_about(write, admin, coordinator, make_volunteer):
    imara, ned = make_volunteer(), make_volunteer()
    write("both", imara, admin)
    write("imara", imara)
    write("ned", ned)
    write("admin", admin)
    write("nobody")

    assert keys(Note.objects.about(imara)) == ["both", "imara"] and not Note.objects.about(coordinator).exists()
    assert keys(Note.objects.about_any(Volunteer, [imara.pk, ned.pk])) == ["both", "imara", "ned"]
    assert keys(Note.objects.about_any(Volunteer, [])) == []
    assert keys(Note.objects.about_some(Volunteer)) == ["both", "imara", "ned"]
    assert keys(Note.objects.about_no(Volunteer)) == ["admin", "nobody"]
    both = Note.objects.get(key="both")
    assert (both.number_of(Volunteer), both.number_of(User)) == (imara.pk, admin.pk)
    assert Note.objects.get(key="admin").number_of(Volunteer) is None


def test_one_number_is_not_taken_for_another_that_begins_alike(write, make_volunteer):
    imara = make_volunteer()
    Note.objects.filter(pk=write("longer", imara).pk).update(about=[f"{reference(imara)}0"])
    Note.objects.filter(pk=write("other", imara).pk).update(about=[f"other{reference(imara)}"])

    assert not Note.objects.about(imara).exists()
    assert keys(Note.objects.about_no(Volunteer)) == ["other"]


def test_an_index_finds_them(write, make_volunteer):
    imara = make_volunteer()
    write("imara", imara)
    with connection.cursor() as cursor:
        # Of a table that tests have filled and emptied the planner may think that walking along any index is cheap.
        cursor.execute("SET LOCAL enable_seqscan = off; SET LOCAL enable_indexscan = off")
        plan = Note.objects.about(imara).explain()

    assert "notes_by_subject" in plan


def test_a_row_that_becomes_another_takes_its_notes_along_and_leaves_the_rest(write, admin, make_volunteer):
    gone, kept = make_volunteer(), make_volunteer()
    write("gone", admin, gone)
    write("kept", kept)
    before = reference(gone)

    merge_rows(gone=gone, kept=kept)

    assert keys(Note.objects.about(kept)) == ["gone", "kept"]
    assert Note.objects.get(key="gone").about == references([admin, kept])
    assert not Note.objects.filter(about__contains=[before]).exists()
    other = make_volunteer()
    assert (change_subject(was=kept, is_now=other), change_subject(was=kept, is_now=other)) == (2, 0)


def test_what_is_forgotten_takes_every_note_about_it_sent_or_not(write, admin, make_volunteer, now):
    imara, ned, una = make_volunteer(), make_volunteer(), make_volunteer()
    for key, person in (("imara", imara), ("ned", ned), ("una", una)):
        write(key, person, admin)
    write("admin", admin)
    Note.objects.filter(key="imara").update(state="sent", sent_at=now)

    assert forget_about(row=imara) == 1 and keys(Note.objects.all()) == ["admin", "ned", "una"]
    assert forget_about_any(model=Volunteer, numbers=[imara.pk, ned.pk, una.pk]) == 2
    assert keys(Note.objects.all()) == ["admin"]


def test_what_has_not_gone_out_is_written_in_the_language_spoken_now(write, make_volunteer, now):
    imara, ned = make_volunteer(), make_volunteer()
    write("waits", imara)
    write("went", imara)
    write("ned", ned)
    Note.objects.filter(key="went").update(state="sent", sent_at=now)

    assert turn_language(about=imara, language="es") == 1
    assert dict(Note.objects.values_list("key", "language")) == {"waits": "es", "went": "en", "ned": "en"}
