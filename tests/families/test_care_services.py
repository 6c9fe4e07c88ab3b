"""Opening and rewriting what is locked about a child."""

from datetime import date

import pytest

from core import clock
from core.refusal import Refusal
from families.models import CareReading, Child
from families.services.care import care_mark, read_care, write_care

pytestmark = pytest.mark.django_db


def child(name: str = "Wren Ash", **care: str) -> Child:
    row = Child.objects.create(name=name, birth_date=date(2018, 5, 1), registered_at=clock.now())
    return write_care(child=row, allergies=care.get("allergies", ""), care_notes=care.get("care_notes", ""))


def test_a_reading_names_who_read_when_and_where_and_only_of_what_is_locked(admin, now):
    wren, fern, bryn = child(allergies="peanuts"), child("Fern"), child("Bryn", care_notes="hearing aids")

    assert read_care(children=[wren, fern, bryn], by=admin, where="page of child 1", now=now) == 2

    rows = CareReading.objects.order_by("pk")
    assert [(row.child, row.by, row.by_name, row.at, row.where) for row in rows] == [
        (wren, admin, admin.name, now, "page of child 1"),
        (bryn, admin, admin.name, now, "page of child 1"),
    ]
    assert read_care(children=[fern], by=admin, where="page of child 2", now=now) == 0
    assert CareReading.objects.count() == 2


def test_the_longest_name_and_a_long_place_are_written_as_far_as_they_fit(admin, now):
    admin.name = "W" * 120
    admin.save()

    read_care(children=[child(allergies="peanuts")], by=admin, where="d" * 61, now=now)

    row = CareReading.objects.get()
    assert (row.by_name, row.where) == ("W" * 120, "d" * 60)


def test_the_mark_tells_one_text_from_another_and_says_nothing_of_it():
    one, same = child(allergies="peanuts"), child(allergies="peanuts")
    other = child(care_notes="peanuts")

    assert care_mark(one) == care_mark(same) != care_mark(other)
    assert care_mark(child()) not in (care_mark(one), care_mark(other))
    assert len(care_mark(one)) == 32 and "peanuts" not in care_mark(one)


def test_both_texts_are_written_without_the_spaces_around_them_and_the_list_knows_that_there_is_something():
    row = write_care(child=child(), allergies="  peanuts ", care_notes="\n")
    row = Child.objects.get(pk=row.pk)
    assert (row.allergies, row.care_notes, row.has_care) == ("peanuts", "", True)

    write_care(child=row, allergies="", care_notes="")
    row = Child.objects.get(pk=row.pk)
    assert (row.allergies, row.care_notes, row.has_care) == ("", "", False)


def test_only_the_two_texts_are_written_whatever_else_the_page_had_in_hand():
    row = child()
    row.name = "Somebody Else"
    write_care(child=row, allergies="peanuts", care_notes="")

    assert Child.objects.get().name == "Wren Ash"


def test_a_page_that_shows_what_is_no_longer_written_overwrites_nothing():
    row = child(allergies="peanuts")
    shown = care_mark(row)
    assert write_care(child=row, allergies="peanuts", care_notes="inhaler", was=shown).care_notes == "inhaler"

    with pytest.raises(Refusal) as refused:
        write_care(child=row, allergies="", care_notes="", was=shown)

    assert refused.value.codes == {"care changed"}
    kept = Child.objects.get()
    assert (kept.allergies, kept.care_notes) == ("peanuts", "inhaler")
    assert write_care(child=row, allergies="", care_notes="", was=None).allergies == ""


@pytest.mark.django_db(transaction=True)
def test_it_is_written_in_a_transaction_of_its_own():
    assert child(allergies="peanuts").has_care
