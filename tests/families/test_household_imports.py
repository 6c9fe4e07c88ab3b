"""Households from a table: one household for each address, nothing overwritten, nothing left to read."""

import json
from datetime import date

import pytest
from cryptography.fernet import Fernet
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.urls import reverse

from core import clock
from core.formats import full_date
from core.refusal import Refusal
from families.models import Child, Guardian, Spot, Waiver
from families.rules.household_rows import HOUSEHOLD_HEAD, read_households
from families.services.care import write_care
from families.services.family_records import keep_away
from families.words.household_rows import household_problem
from people.models import Import
from people.rules.cells import row_problem
from people.services.imports import read_table, start_taking, take_in_pieces, undo

HEAD = ",".join(HOUSEHOLD_HEAD) + "\n"
WREN = (
    "Corwin Ashlock,corwin@example.org,555-0131,es,Wren Ashlock,2017-03-04,some,Grade 4,"
    "Walnuts,Hearing aids,Maudie,555-0161,Ezra Crake; Pim Vale\n"
)
IVO = "Corwin Ashlock,CORWIN@example.org,555-0131,es,Ivo Ashlock,2018-03-04,,,,,Maudie,555-0161,\n"


def read(text, by):
    return read_table(
        what="households", name="families.csv", raw=(HEAD + text).encode(), by=by, now=clock.now(), today=clock.today()
    )


def take(table, by):
    start_taking(table=table, by=by)
    return take_in_pieces(table=table, now=clock.now())


@pytest.mark.django_db
def test_rows_of_one_address_become_one_household_and_nobody_has_signed(coordinator):
    take(read(WREN + IVO, coordinator), coordinator)

    guardian = Guardian.objects.get()
    assert (guardian.language, guardian.confirmed) == ("es", False)
    wren = Child.objects.get(name="Wren Ashlock")
    assert (wren.allergies, wren.care_notes) == ("Walnuts", "Hearing aids")
    assert {row.child.name for row in guardian.guardianships.all()} == {"Wren Ashlock", "Ivo Ashlock"}
    assert [one.name for one in wren.pickup_people.all()] == ["Ezra Crake", "Pim Vale"]
    assert not Waiver.objects.exists()


@pytest.mark.django_db
def test_care_notes_can_be_read_neither_in_the_table_that_waits_nor_afterwards(coordinator, signed_in):
    table = read(WREN, coordinator)
    page = reverse("household-import-one", args=[table.pk])

    def kept():
        with connection.cursor() as cursor:
            cursor.execute("SELECT rows::text || bad::text FROM people_import WHERE id = %s", [table.pk])
            return cursor.fetchone()[0]

    waiting, shown = kept(), signed_in(coordinator).get(page).content.decode()
    assert (
        "Walnuts" not in waiting + shown and "Hearing" not in waiting + shown and "✚ has care notes (locked)" in shown
    )
    assert json.loads(waiting.removesuffix("[]"))[0]["allergies"]
    take(table, coordinator)
    assert json.loads(kept().removesuffix("[]"))[0]["allergies"] == ""


@pytest.mark.django_db
def test_what_was_read_is_shown_in_words_and_not_under_the_heads_of_a_table(coordinator, signed_in):
    table = read(WREN, coordinator)
    page = signed_in(coordinator).get(reverse("household-import-one", args=[table.pk])).content.decode()

    row = table.rows[0]
    assert f"Guardian: {row['guardian_name']}" in page and "Español" in page and "Pickup: Ezra Crake, Pim Vale" in page
    assert f"Born {full_date(date.fromisoformat(row['birth_date']))}" in page
    assert "guardian_name" not in page and "can be imported" in page and "1 children" not in page


@pytest.mark.django_db
def test_a_sheet_never_touches_a_guardian_who_is_here(coordinator, now):
    Guardian.objects.create(name="Corwin Ashlock", email="Corwin@example.org", registered_at=now)
    table = read(WREN, coordinator)

    assert table.rows == [] and "already on file" in table.bad[0]["reasons"][0]


@pytest.mark.django_db
def test_somebody_who_came_since_the_file_was_read_stops_the_whole_table(coordinator, now):
    table = read(WREN + IVO, coordinator)
    Guardian.objects.create(name="Corwin Ashlock", email="corwin@example.org", registered_at=now)
    table = take(table, coordinator)

    assert table.state == Import.State.READ and "Upload the file again" in table.trouble
    assert not Child.objects.exists()


@pytest.mark.django_db
def test_one_press_takes_it_back_but_not_once_a_child_has_a_spot(coordinator, make_clinic, now):
    table = take(read(WREN, coordinator), coordinator)
    assert undo(table=table) == 1
    assert not Child.objects.exists() and not Guardian.objects.exists()

    table = take(read(WREN, coordinator), coordinator)
    child = Child.objects.get()
    Spot.objects.create(clinic=make_clinic(), child=child, state="held", age=9, asked_at=now)
    with pytest.raises(Refusal) as refused:
        undo(table=table)
    assert refused.value.codes == {"in use"} and Child.objects.exists()


@pytest.mark.django_db
def test_what_a_family_or_the_office_wrote_since_is_not_taken_back_with_the_table(coordinator, now):
    table = take(read(WREN, coordinator), coordinator)
    child = Child.objects.get()
    Guardian.objects.update(confirmed_at=now)
    write_care(child=child, allergies="Walnuts and bee stings", care_notes="")
    with pytest.raises(Refusal) as refused:
        undo(table=table)
    assert refused.value.codes == {"in use"}

    Guardian.objects.update(confirmed_at=None)
    mark = keep_away(child=child, name="Tobias", relation="", seen="Order of 3 May", by=coordinator, now=now)
    with pytest.raises(Refusal) as refused:
        undo(table=table)
    assert refused.value.codes == {"in use"} and mark in child.pickup_people.all()
    mark.delete()
    assert undo(table=table) == 1


@pytest.mark.django_db
def test_a_table_whose_key_was_taken_away_says_so_and_does_not_stay_half_taken(coordinator, settings):
    table = read(WREN, coordinator)
    settings.CARE_KEYS = [Fernet.generate_key().decode()]
    table = take(table, coordinator)

    assert table.state == Import.State.READ and not Child.objects.exists()
    assert "Upload the file again" in table.trouble


def codes(found):
    return [one.code for one in found.bad[0].reasons]


GOOD = dict(zip(HOUSEHOLD_HEAD, WREN.strip().split(","), strict=True))


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"guardian_name": ""}, "empty"),
        ({"guardian_email": "nobody"}, "no email"),
        ({"guardian_email": "", "guardian_phone": ""}, "no way to reach"),
        ({"language": "fr"}, "no such language"),
        ({"child_name": " "}, "empty"),
        ({"birth_date": ""}, "empty"),
        ({"birth_date": "4 March"}, "no birth date"),
        ({"birth_date": "2199-01-01"}, "in the future"),
        ({"birth_date": "1980-01-01"}, "grown up"),
        ({"experience": "pro"}, "no such experience"),
        ({"emergency_phone": ""}, "empty"),
        ({"child_name": "x" * 200}, "too long"),
        ({"pickup_people": "x" * 200}, "pickup name too long"),
    ],
)
def test_each_reason_against_a_row_has_a_code_and_words(change, code):
    found = read_households([GOOD | change], set(), clock.today())
    assert not found.good and codes(found) == [code]
    (words,) = [household_problem(one) for one in found.bad[0].reasons]
    assert len(words) > 20 and "%" not in words
    assert len(read_households([GOOD], set(), clock.today()).good) == 1


def test_a_guardian_on_file_and_one_with_two_names_are_refused():
    known = read_households([GOOD], {"corwin@example.org"}, clock.today())
    assert codes(known) == ["guardian on file"]
    other = GOOD | {"guardian_name": "Somebody Else", "child_name": "Ivo Ashlock"}
    (row,) = read_households([GOOD, other], set(), clock.today()).bad
    assert (row.line, [household_problem(one) for one in row.reasons]) == (
        3,
        ["line 2 has the same email or phone with a different guardian’s name"],
    )


def test_the_same_child_twice_is_refused_with_the_earlier_line():
    found = read_households([GOOD, GOOD | {"child_name": "wren  ASHLOCK"}], set(), clock.today())
    assert (found.bad[0].line, found.bad[0].reasons) == (3, [row_problem("child twice", line=2)])


@pytest.mark.django_db
def test_the_page_reads_a_file_and_a_floor_lead_and_a_stranger_are_refused(
    coordinator, floor_lead, stranger, signed_in
):
    page = reverse("household-import")
    file = SimpleUploadedFile("families.csv", (HEAD + WREN).encode())
    answer = signed_in(coordinator).post(page, {"file": file}, follow=True)
    text = answer.content.decode()
    assert "1 child can be imported" in text and "Wren Ashlock" in text

    table = Import.objects.get()
    assert stranger.get(page).status_code == 302 and signed_in(floor_lead).get(page).status_code == 403
    assert signed_in(floor_lead).get(reverse("household-import-one", args=[table.pk])).status_code == 403


@pytest.mark.django_db
def test_the_volunteers_import_pages_do_not_open_a_table_of_households(coordinator, admin, signed_in):
    table = read(WREN, coordinator)
    assert signed_in(admin).get(reverse("import", args=[table.pk])).status_code == 404
