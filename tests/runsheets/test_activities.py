"""Activities as data: the house's own, what the office adds and retires, and tables in and out."""

import csv
import io
from dataclasses import replace

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError, transaction
from django.urls import reverse

from runsheets.models import Activity, ActivityTable, RunSheetPlan
from runsheets.queries.activities import activity_history
from runsheets.rules.activities import ACTIVITIES
from runsheets.services.activities import ensure_activities

pytestmark = pytest.mark.django_db

FACTS = {
    "name": "Wall passes", "kind": "station", "level": "all", "youngest": 6, "oldest": 14, "least_minutes": 8,
    "most_minutes": 15, "group_size": 10, "cycle_seconds": 30, "players": 2, "turns_at_once": 1, "hoops": 0, "balls": 0,
    "balls_each": 1, "tables": 0, "sockets": 0, "adults": 1, "skill": "", "teaching": "Step into it.", "safety": "",
    "record": "", "things": "",
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
    assert "An opener must last 5 to 10 minutes" in page
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
    assert "There’s already an activity with that name" in answer.content.decode()


def test_a_retired_activity_is_no_longer_offered_until_it_is_again(office):
    row = Activity.objects.get(code="footwork")

    office.post(reverse("activity-retire", args=[row.pk]), {"act": "retire"})
    assert not Activity.objects.offered().filter(pk=row.pk).exists()

    office.post(reverse("activity-retire", args=[row.pk]), {"act": "offer"})
    assert Activity.objects.offered().filter(pk=row.pk).exists()


def read(office, text, name="a.csv"):
    raw = text if isinstance(text, bytes) else text.encode()
    return office.post(reverse("activity-import"), {"file": SimpleUploadedFile(name, raw)})


def newest():
    return ActivityTable.objects.first()


def act(office, what, table=None):
    answer = office.post(reverse("activity-table-act", args=[(table or newest()).pk]), {"act": what}, follow=True)
    return answer.content.decode()


def as_rules():
    return {row.code: row.as_rule() for row in Activity.objects.all()}


def test_what_is_exported_reads_back_as_changes_of_the_same(office):
    out = office.get(reverse("activities-csv"))
    rows = list(csv.DictReader(io.StringIO(out.content.decode("utf-8-sig"))))
    before = as_rules()

    page = office.get(read(office, out.content).url)
    act(office, "take")

    assert len(rows) == len(ACTIVITIES)
    assert "updates an activity" in page.content.decode()
    assert newest().state == "taken"
    assert as_rules() == before


def test_a_table_is_shown_with_its_reasons_before_anything_is_saved(office):
    text = "name,kind,least_minutes,most_minutes,group_size\nWall passes,station,8,15,10\nLong opener,opener,5,20,10\n"

    words = office.get(read(office, text).url).content.decode()

    assert "An opener must last 5 to 10 minutes" in words
    assert "Import 1 activity" in words
    assert not Activity.objects.filter(name="Wall passes").exists()

    act(office, "take")
    act(office, "take")  # a second press writes nothing twice
    assert Activity.objects.get(name="Wall passes").code == "wall-passes"
    assert not Activity.objects.filter(name="Long opener").exists()


HEAD = "code,name,kind,least_minutes,most_minutes,group_size\n"
MIXED = HEAD + ",Wall passes,station,8,15,10\nknockout,Two-ball knockout,game,7,11,9\n"


def test_a_table_changes_only_the_columns_it_has(office):
    before = as_rules()["knockout"]

    read(office, "code,name,kind,least_minutes,most_minutes\nknockout,Whole-group knockout,game,7,11\n")
    act(office, "take")

    assert as_rules()["knockout"] == replace(before, least_minutes=7, most_minutes=11)


def test_one_press_takes_a_table_back_with_what_it_added_and_changed(office):
    before = as_rules()
    read(office, MIXED)
    act(office, "take")
    assert as_rules()["knockout"].name == "Two-ball knockout"

    page = act(office, "undo")

    assert "2 activities are back to how they were" in page
    assert as_rules() == before
    assert "This import was undone" in act(office, "take")
    assert as_rules() == before


def test_a_table_whose_activity_was_changed_since_is_not_undone_and_says_which(office):
    read(office, MIXED)
    act(office, "take")
    Activity.objects.filter(code="knockout").update(group_size=7)
    taken = as_rules()

    page = act(office, "undo")

    assert "Two-ball knockout has changed since the import." in page
    assert as_rules() == taken
    assert newest().state == "taken"


def test_a_table_whose_new_activity_is_on_a_run_sheet_is_not_undone(office, make_clinic, now):
    read(office, MIXED)
    act(office, "take")
    facts = {"activities": [{"code": "wall-passes"}]}
    RunSheetPlan.objects.create(clinic=make_clinic(), facts=facts, asked_at=now)

    assert "Wall passes is on a run sheet." in act(office, "undo")
    assert Activity.objects.filter(code="wall-passes").exists()


def test_a_name_that_somebody_took_meanwhile_stops_the_whole_table(office):
    read(office, MIXED)
    Activity.objects.create(**FACTS | {"code": "by-hand"})
    before = as_rules()

    assert "Someone changed one of these while you were working" in act(office, "take")
    assert as_rules() == before
    assert newest().state == "read"


def test_each_change_says_who_when_before_and_after(office, coordinator):
    office.post(reverse("activity-new"), FACTS)
    row = Activity.objects.get(name="Wall passes")
    office.post(reverse("activity-change", args=[row.pk]), FACTS | {"most_minutes": 12, "things": "cone: 4 once"})
    office.post(reverse("activity-retire", args=[row.pk]), {"act": "retire"})

    lines = activity_history(row)

    assert [line.what for line in lines] == [
        ["Archived."],
        [
            "Longest time (minutes): changed from 15 to 12.",
            "Other items to pack: changed from nothing to “cone: 4 once”.",
        ],
        ["Added."],
    ]
    assert {line.who for line in lines} == {coordinator.name}
    assert (
        "Longest time (minutes): changed from 15 to 12."
        in office.get(reverse("activity", args=[row.pk])).content.decode()
    )


def test_what_a_table_writes_is_in_the_history_too(office, coordinator):
    read(office, MIXED)
    act(office, "take")

    line = activity_history(Activity.objects.get(code="knockout"))[0]

    assert line.who == coordinator.name
    assert "Longest time (minutes): changed from 12 to 11." in line.what


def test_things_to_pack_are_read_line_by_line_and_a_line_without_an_amount_is_refused(office):
    answer = office.post(reverse("activity-new"), FACTS | {"things": "cone: 4 once\nchalk"})

    page = answer.content.decode()
    assert answer.status_code == 422
    assert "“chalk” has no amount" in page
    assert "cone: 4 once" in page


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"", "is empty"),
        (b"colour,shape\nred,round\n", "The first row must have the column names"),
        (b"\xff\xfe\x00", "isn’t in UTF-8 format"),
        (b"name,kind,least_minutes,most_minutes\n", "The file has column names but no rows"),
        (b"name\n" + b"x" * 200_001, "larger than 200 kB"),
    ],
)
def test_a_file_that_is_no_table_is_refused_in_words(office, raw, words):
    answer = office.post(reverse("activity-import"), {"file": SimpleUploadedFile("a.csv", raw)})

    assert answer.status_code == 422
    assert words in answer.content.decode()


def test_only_the_office_changes_activities_and_a_stranger_sees_none(floor_lead, signed_in, stranger, now):
    pk = Activity.objects.get(code="footwork").pk
    lead = signed_in(floor_lead)

    for name, args in (("activities", []), ("activity", [pk]), ("activities-csv", [])):
        assert stranger.get(reverse(name, args=args)).status_code == 302
        assert lead.get(reverse(name, args=args)).status_code == 200
    for name, args in (("activity-new", []), ("activity-change", [pk]), ("activity-import", [])):
        assert stranger.get(reverse(name, args=args)).status_code == 302
        assert lead.get(reverse(name, args=args)).status_code == 403
    table = ActivityTable.objects.create(file_name="a.csv", read_at=now)
    assert stranger.get(reverse("activity-table", args=[table.pk])).status_code == 302
    assert lead.get(reverse("activity-table", args=[table.pk])).status_code == 403
    assert stranger.post(reverse("activity-table-act", args=[table.pk]), {"act": "take"}).status_code == 302
    assert lead.post(reverse("activity-table-act", args=[table.pk]), {"act": "take"}).status_code == 403
    assert lead.post(reverse("activity-retire", args=[pk]), {"act": "retire"}).status_code == 403
    assert stranger.post(reverse("activity-retire", args=[pk]), {"act": "retire"}).status_code == 302


def test_the_page_asks_the_same_number_of_questions_however_many_there_are(office, django_assert_max_num_queries):
    for number in range(30):
        Activity.objects.create(**FACTS | {"code": f"wall-{number}", "name": f"Wall {number}"})

    with django_assert_max_num_queries(8):
        office.get(reverse("activities"))
