"""Activities as data: the house's own, what the office adds and retires, and tables in and out."""

import csv
import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError, transaction
from django.urls import reverse

from clinics.models import Activity
from clinics.rules.activities import ACTIVITIES
from clinics.services.activities import ensure_activities

pytestmark = pytest.mark.django_db

FACTS = {
    "name": "Wall passes", "kind": "station", "level": "all", "youngest": 6, "oldest": 14, "least_minutes": 8,
    "most_minutes": 15, "group_size": 10, "cycle_seconds": 30, "players": 2, "turns_at_once": 1, "hoops": 0, "balls": 0,
    "balls_each": 1, "tables": 0, "sockets": 0, "adults": 1, "skill": "", "teaching": "Step into it.", "safety": "",
    "record": "",
}  # fmt: skip


@pytest.fixture
def office(coordinator, signed_in):
    return signed_in(coordinator)


def test_the_house_s_activities_are_there_and_say_the_same_as_the_rule():
    assert {row.code: row.as_rule() for row in Activity.objects.all()} == ACTIVITIES


def test_writing_them_again_changes_nothing_that_the_office_changed():
    Activity.objects.filter(code="knockout").update(name="Two-ball knockout")

    ensure_activities()

    assert Activity.objects.get(code="knockout").name == "Two-ball knockout"
    assert Activity.objects.count() == len(ACTIVITIES)


def test_an_activity_is_added_with_a_code_of_its_own(office):
    answer = office.post(reverse("activity-new"), FACTS)

    row = Activity.objects.get(name="Wall passes")
    assert answer.url == reverse("activity", args=[row.pk])
    assert row.code == "wall-passes"
    assert "Step into it." in office.get(answer.url).content.decode()


def test_an_opener_of_twelve_minutes_is_refused_and_what_was_typed_stays(office):
    answer = office.post(reverse("activity-new"), FACTS | {"kind": "opener", "most_minutes": 12})

    page = answer.content.decode()
    assert answer.status_code == 422
    assert "An opener lasts 5 to 10 minutes" in page
    assert "Wall passes" in page
    assert not Activity.objects.filter(name="Wall passes").exists()


@pytest.mark.parametrize(
    "wrong",
    [
        {"least_minutes": 20},
        {"kind": "opener", "most_minutes": 11},
        {"group_size": 0},
        {"youngest": 15},
        {"cycle_seconds": 481},
        {"hoops": 41},
    ],
)
def test_the_database_refuses_numbers_that_can_t_be(wrong):
    with pytest.raises(IntegrityError), transaction.atomic():
        Activity.objects.create(**FACTS | wrong | {"code": "wall"})


def test_a_changed_name_that_another_has_is_refused_in_words(office):
    row = Activity.objects.get(code="footwork")

    answer = office.post(reverse("activity-change", args=[row.pk]), FACTS | {"name": "Ball handling"})

    assert answer.status_code == 422
    assert "There is an activity of that name already" in answer.content.decode()


def test_a_retired_activity_is_no_longer_offered_until_it_is_again(office):
    row = Activity.objects.get(code="footwork")

    office.post(reverse("activity-retire", args=[row.pk]), {"act": "retire"})
    assert not Activity.objects.offered().filter(pk=row.pk).exists()

    office.post(reverse("activity-retire", args=[row.pk]), {"act": "offer"})
    assert Activity.objects.offered().filter(pk=row.pk).exists()


def test_what_is_exported_reads_back_as_changes_of_the_same(office):
    out = office.get(reverse("activities-csv"))
    rows = list(csv.DictReader(io.StringIO(out.content.decode("utf-8-sig"))))
    before = {row.code: row.as_rule() for row in Activity.objects.all()}

    page = office.post(reverse("activity-import"), {"file": SimpleUploadedFile("a.csv", out.content)})
    taken = office.post(reverse("activity-import"), {"act": "take", "text": out.content.decode("utf-8-sig")})

    assert len(rows) == len(ACTIVITIES)
    assert "changes what is there" in page.content.decode()
    assert taken.url == reverse("activities")
    assert {row.code: row.as_rule() for row in Activity.objects.all()} == before


def test_a_table_is_shown_with_its_reasons_before_anything_is_saved(office):
    text = "name,kind,least_minutes,most_minutes,group_size\nWall passes,station,8,15,10\nLong opener,opener,5,20,10\n"

    page = office.post(reverse("activity-import"), {"file": SimpleUploadedFile("a.csv", text.encode())})

    words = page.content.decode()
    assert "An opener lasts 5 to 10 minutes" in words
    assert "Take 1 activity" in words
    assert not Activity.objects.filter(name="Wall passes").exists()

    office.post(reverse("activity-import"), {"act": "take", "text": text})
    assert Activity.objects.get(name="Wall passes").code == "wall-passes"
    assert not Activity.objects.filter(name="Long opener").exists()


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"", "is empty"),
        (b"colour,shape\nred,round\n", "The first line must name the columns"),
        (b"\xff\xfe\x00", "are not UTF-8"),
        (b"name,kind,least_minutes,most_minutes\n", "There is no row under the first line"),
        (b"name\n" + b"x" * 200_001, "larger than 200 kB"),
    ],
)
def test_a_file_that_is_no_table_is_refused_in_words(office, raw, words):
    answer = office.post(reverse("activity-import"), {"file": SimpleUploadedFile("a.csv", raw)})

    assert answer.status_code == 422
    assert words in answer.content.decode()


def test_a_press_with_words_that_are_no_table_is_refused_too(office):
    answer = office.post(reverse("activity-import"), {"act": "take", "text": "nothing"})

    assert answer.status_code == 422
    assert "The first line must name the columns" in answer.content.decode()


def test_only_the_office_changes_activities_and_a_stranger_sees_none(floor_lead, signed_in, stranger):
    pk = Activity.objects.get(code="footwork").pk
    lead = signed_in(floor_lead)

    for name, args in (("activities", []), ("activity", [pk]), ("activities-csv", [])):
        assert stranger.get(reverse(name, args=args)).status_code == 302
        assert lead.get(reverse(name, args=args)).status_code == 200
    for name, args in (("activity-new", []), ("activity-change", [pk]), ("activity-import", [])):
        assert stranger.get(reverse(name, args=args)).status_code == 302
        assert lead.get(reverse(name, args=args)).status_code == 403
    assert lead.post(reverse("activity-retire", args=[pk]), {"act": "retire"}).status_code == 403
    assert stranger.post(reverse("activity-retire", args=[pk]), {"act": "retire"}).status_code == 302


def test_the_page_asks_the_same_number_of_questions_however_many_there_are(office, django_assert_max_num_queries):
    for number in range(30):
        Activity.objects.create(**FACTS | {"code": f"wall-{number}", "name": f"Wall {number}"})

    with django_assert_max_num_queries(8):
        office.get(reverse("activities"))
