"""One walk-in typed on two phones: both lines say so, and settled they are one child with everything of both."""

from datetime import timedelta

import pytest
from django.db import IntegrityError
from django.urls import reverse

from core import clock
from families.models import Child, Guardian, PhotoAnswer, PickupPerson, Spot, Waiver
from families.queries.door import door_lines, with_twins
from families.queries.waivers import photos_allowed
from floor.models import FloorAction, FloorDay, Incident, MergedNumber, Score, SignIn
from floor.queries import page_state
from floor.queries.conflicts import open_conflicts
from floor.queries.edition import edition_of
from floor.queries.log import floor_state
from floor.queries.page import day_data
from floor.queries.page_state import state_data
from floor.queries.twins import twin_children, twin_pairs
from floor.services import twins as twins_service
from floor.services.phones import open_phone
from scheduling.queries.ahead import ahead_page
from tests.floor_days import entry, send

pytestmark = pytest.mark.django_db
FIRST = {
    "who": "w-1", "name": "Juno Reed", "born": "2018-01-01", "guardian": "Orla Reed", "phone": "555-0144",
    "signed": "Orla Reed", "photo": True, "pickup": "Uncle Bram", "allergies": "bee stings", "care_notes": "",
}  # fmt: skip
SECOND = FIRST | {
    "who": "w-2", "name": "Reed Junó", "allergies": "", "care_notes": "Inhaler in the blue bag", "photo": False,
    "pickup": "Petra Lowe", "guardian": "orla reed", "phone": "555 0144",
}  # fmt: skip
SAME = {"who": "w-1", "other": "w-2"}


@pytest.fixture
def other(floor, now):
    """A second phone of the same lead."""
    phone, _ = open_phone(clinic=floor.clinic, volunteer=floor.lead.volunteer, came_from="192.0.2.8", now=now)
    return phone


@pytest.fixture
def twice(floor, now, other):
    """The same walk-in on two phones."""
    send(floor, entry(1, "walk-in", now - timedelta(minutes=9), **FIRST))
    send(floor, entry(1, "walk-in", now - timedelta(minutes=8), **SECOND), phone=other)


def said(floor):
    return [pair.said for pair in twin_pairs(floor.clinic, floor_state(floor.clinic))]


def state(floor):
    return state_data(floor.clinic, floor_state(floor.clinic))


def needs(now):
    return [one.headline for one in ahead_page(now, clock.today()).needs if "Perhaps one child" in one.headline]


def settle(client, floor, word, one="w-1", other="w-2", **more):
    address = reverse("clinic-day-twins", args=[floor.clinic.pk])
    return client.post(address, {"word": word, "one": one, "other": other, **more}, follow=True)


def codes(floor):
    return [one.code for one in open_conflicts(floor_state(floor.clinic))]


def test_it_is_said_on_ahead_the_days_page_and_the_sign_in_sheet(floor, now, twice, signed_in, coordinator, admin):
    children = {one.pk for one in Child.objects.filter(name__contains="Reed")}
    assert said(floor) == [""] and set(twin_children(floor.clinic)[0]) == children
    assert needs(now) == ["Perhaps one child: Juno Reed and Reed Junó"]
    page = signed_in(coordinator).get(reverse("clinic-day", args=[floor.clinic.pk])).content.decode()
    assert "Perhaps one child" in page and "Orla Reed, 555-0144" in page and "Merge into one record" in page

    sheet = signed_in(admin).post(reverse("clinic-door-care", args=[floor.clinic.pk])).content.decode()
    assert sheet.count("bee stings") == sheet.count("Inhaler in the blue bag") == 2
    assert "Perhaps one child: also on the list as Juno Reed, " in sheet


def test_who_must_not_pick_up_either_is_kept_from_both(floor, now, twice):
    child = Child.objects.get(name="Reed Junó")
    PickupPerson.objects.create(child=child, name="UNCLE BRAM", must_not=True, seen="Order of a court", recorded_at=now)
    lines = with_twins(door_lines(floor.clinic, with_care=True), twin_children(floor.clinic))
    (line,) = [one for one in lines if one.child.name == "Juno Reed"]

    assert [one.name for one in line.kept_away] == ["UNCLE BRAM"] and line.pickup_people == []
    assert not line.photos and line.care_notes == "Inhaler in the blue bag"


@pytest.fixture
def ages_here(monkeypatch, floor):
    """The ages from which the adults are reckoned."""
    monkeypatch.setattr(page_state, "adults_now", lambda ages, _tables: sorted(ages))
    return lambda: state(floor)["needed"]


def test_until_settled_both_count_as_the_younger(floor, now, other, ages_here):
    send(floor, entry(1, "walk-in", now, **FIRST))
    send(floor, entry(1, "walk-in", now, **FIRST | {"who": "w-2", "born": "2015-01-01"}), phone=other)
    send(floor, entry(2, "in", now, who=f"c{floor.children[0].pk}"))
    eight, nine = (floor.clinic.day.year - 2018, floor.children[0].spots.get().age)
    assert ages_here() == sorted([eight, eight, nine])
    send(floor, entry(3, "apart", now, **SAME))
    assert ages_here() == sorted([eight, eight + 3, nine])


def test_settled_they_are_one_child_with_everything_of_both(floor, now, twice, other):
    at = now - timedelta(minutes=5)
    send(
        floor,
        entry(2, "score", at, who="w-1", what="free throws", made=3, tried=9),
        entry(3, "incident", at, who="w-1", what="Knee", first_aid="", told="", witness="", head=False),
    )
    send(
        floor,
        entry(2, "score", at, who="w-2", what="ladder", made=1, tried=2),
        entry(3, "out", at + timedelta(minutes=1), who="w-2", pickup="Petra Lowe"),
        entry(4, "same", at + timedelta(minutes=2), **SAME),
        phone=other,
    )
    child = Child.objects.get(name__contains="Reed")
    assert child.name == "Juno Reed" and child.allergies == "bee stings"
    assert child.care_notes == "Inhaler in the blue bag" and child.has_care
    assert Spot.objects.live().get(clinic=floor.clinic, child=child).state == "held"
    assert {one.name for one in PickupPerson.objects.filter(child=child)} == {"Uncle Bram", "Petra Lowe"}
    assert child.pk not in photos_allowed([child.pk]) and PhotoAnswer.objects.filter(child=child).count() >= 2
    assert Guardian.objects.get(guardianships__child=child).name == "Orla Reed"
    assert Waiver.objects.filter(child=child).count() == 2
    assert Score.objects.filter(child=child).count() == 2 and Incident.objects.get().child == child
    row = SignIn.objects.get(child=child)
    assert row.in_at == now - timedelta(minutes=9) and row.pickup == "Petra Lowe"
    shown = state(floor)
    assert [one["who"] for one in shown["walk_ins"]] == ["w-1"] and list(shown["stays"]) == ["w-1"]
    gone = MergedNumber.objects.get()
    assert shown["called"] == {"w-2": "w-1", f"c{child.pk}": "w-1", gone.was: "w-1"}
    assert FloorDay.objects.get().twins == [] and needs(now) == []


def test_guardians_who_are_two_people_both_stay(floor, now, other):
    send(floor, entry(1, "walk-in", now, **FIRST))
    send(
        floor, entry(1, "walk-in", now, **SECOND | {"guardian": "Ines Vale", "phone": "555-0101"}),
        entry(2, "same", now, **SAME), phone=other,
    )  # fmt: skip
    child = Child.objects.get(name__contains="Reed")
    assert set(Guardian.objects.filter(guardianships__child=child).values_list("name", flat=True)) == {
        "Orla Reed", "Ines Vale",
    }  # fmt: skip


def test_the_child_of_the_list_stays_and_the_walk_in_becomes_it(floor, now):
    wren = floor.children[0]
    facts = FIRST | {"name": "wren ash", "born": wren.birth_date.isoformat()}
    before = edition_of(floor.clinic)
    send(floor, entry(1, "walk-in", now, **facts), entry(2, "same", now, who="w-1", other=f"c{wren.pk}"))
    wren.refresh_from_db()
    assert Child.objects.filter(name__iexact="wren ash").get() == wren and "bee stings" in wren.allergies
    assert Spot.objects.live().filter(clinic=floor.clinic, child=wren).count() == 1
    assert FloorAction.objects.get(kind="walk-in").child == wren
    (walked,) = state(floor)["walk_ins"]
    assert walked["child"] == f"c{wren.pk}" and edition_of(floor.clinic) != before
    day = day_data(floor.phone, now)
    assert [one["who"] for one in day["children"] if one["name"] == wren.name] == [f"c{wren.pk}"]


def sendings(now):
    """What two phones send in three goes: that both are one child is said by the first."""
    at = now - timedelta(minutes=30)
    late = at + timedelta(minutes=10)
    return {
        "one": [
            entry(1, "walk-in", at, **FIRST), entry(2, "score", late, who="w-1", what="shots", made=1, tried=2)
        ],
        "two": [
            entry(1, "walk-in", at + timedelta(minutes=1), **SECOND),
            entry(2, "out", late, who="w-2", pickup="Petra Lowe"),
        ],
        "says": [entry(3, "same", late + timedelta(minutes=1), **SAME)],
    }  # fmt: skip


def books(floor):
    child = Child.objects.get(name__contains="Reed")
    return (
        (child.name, child.birth_date, child.allergies, child.care_notes),
        sorted(PickupPerson.objects.filter(child=child).values_list("name", flat=True)),
        sorted(Guardian.objects.filter(guardianships__child=child).values_list("name", "phone")),
        list(Spot.objects.live().filter(child=child).values_list("state", "age")),
        list(SignIn.objects.filter(child=child).values_list("in_at", "out_at", "pickup")),
        list(Score.objects.filter(child=child).values_list("what", "made", "tried")),
        child.pk in photos_allowed([child.pk]),
        FloorDay.objects.get().twins,
        list(state(floor)["stays"]),
    )


@pytest.mark.parametrize("order", [("one", "two", "says"), ("one", "says", "two"), ("two", "one", "says")])
def test_in_whatever_order_it_arrives_the_books_are_the_same(floor, now, other, order):
    goes = sendings(now)
    for go in order:
        out = send(floor, *goes[go], now=now, phone=other if go == "two" else floor.phone)
        assert out.refused == []

    at = now - timedelta(minutes=30)
    assert books(floor) == (
        ("Juno Reed", clock.today().replace(2018, 1, 1), "bee stings", "Inhaler in the blue bag"),
        ["Petra Lowe", "Uncle Bram"], [("Orla Reed", "555-0144")], [("held", floor.clinic.day.year - 2018)],
        [(at, at + timedelta(minutes=10), "Petra Lowe")], [("shots", 1, 2)], False, [], ["w-1"],
    )  # fmt: skip


def test_said_to_be_two_it_is_never_asked_again(floor, now, twice, signed_in, coordinator):
    send(floor, entry(2, "apart", now, **SAME))
    assert said(floor) == ["apart"] and needs(now) == [] and not twin_children(floor.clinic)
    assert FloorDay.objects.get().twins == [] and Child.objects.filter(name__contains="Reed").count() == 2
    page = signed_in(coordinator).get(reverse("clinic-day", args=[floor.clinic.pk])).content.decode()
    assert "Perhaps one child" not in page


@pytest.mark.parametrize("first", ["same", "apart"])
def test_one_phone_says_one_and_another_two_it_stays_open_until_one_is_taken_back(
    floor, now, twice, other, first, signed_in, coordinator
):
    """Both phones said it without signal: neither had heard of the other."""
    words = {"same": entry(2, "same", now, **SAME), "apart": entry(2, "apart", now, **SAME)}
    if first == "apart":
        send(floor, words["apart"])
        send(floor, words["same"], phone=other)
        assert said(floor) == ["differ"] and codes(floor) == ["one child or two"]
        assert Child.objects.filter(name__contains="Reed").count() == 2 and len(needs(now)) == 1
        assert state(floor)["here_children"] == 2
        assert "Merged into one record." in settle(signed_in(coordinator), floor, "same").content.decode()
        assert FloorAction.objects.filter(kind="undo").count() == 1
    else:
        send(floor, words["same"])
        send(floor, words["apart"], phone=other)
        assert codes(floor) == ["merged and apart"]
        client = signed_in(coordinator)
        page = client.get(reverse("clinic-day", args=[floor.clinic.pk])).content.decode()
        assert "Merged records can’t be separated" in page
        assert "Fixed." in settle(client, floor, "merged", apart=words["apart"]["id"]).content.decode()
        again = settle(client, floor, "merged", apart=words["apart"]["id"])
        assert "Someone already fixed that." in again.content.decode()
    assert Child.objects.filter(name__contains="Reed").count() == 1 and codes(floor) == []


def test_two_children_that_one_phone_merged_count_as_two_until_it_is_settled(floor, now, twice, other, ages_here):
    send(floor, entry(2, "same", now, **SAME))
    assert len(ages_here()) == 1
    apart = entry(2, "apart", now, **SAME)
    send(floor, apart, phone=other)
    assert ages_here() == [floor.clinic.day.year - 2018] * 2
    send(floor, entry(3, "undo", now, of=apart["id"]), phone=other)
    assert len(ages_here()) == 1


def test_taken_back_before_it_was_sent_nothing_is_merged(floor, now, twice):
    one = entry(2, "same", now, **SAME)
    send(floor, one, entry(3, "undo", now, of=one["id"]))
    assert said(floor) == [""] and Child.objects.filter(name__contains="Reed").count() == 2


def test_taken_back_after_it_is_in_the_books_changes_nothing(floor, now, twice):
    one = entry(2, "same", now, **SAME)
    send(floor, one)
    send(floor, entry(3, "undo", now, of=one["id"]))
    assert Child.objects.filter(name__contains="Reed").count() == 1 and list(state(floor)["stays"]) == ["w-1"]


def test_both_phones_settle_it_and_it_is_merged_once(floor, now, twice, other, signed_in, coordinator):
    send(floor, entry(2, "same", now, **SAME))
    out = send(
        floor,
        entry(2, "same", now, who="w-2", other="w-1"),
        entry(3, "out", now, who="w-2", pickup="Petra Lowe"),
        phone=other,
    )
    assert out.refused == [] and list(out.state.stays) == ["w-1"] and MergedNumber.objects.count() == 1
    assert SignIn.objects.get().pickup == "Petra Lowe"
    assert "Someone already fixed that." in settle(signed_in(coordinator), floor, "same").content.decode()


def test_children_who_are_not_alike_are_not_merged_whatever_a_phone_says(floor, now):
    one, two = (f"c{child.pk}" for child in floor.children[:2])
    send(
        floor, entry(1, "walk-in", now, **FIRST), entry(2, "same", now, who=one, other=two),
        entry(3, "same", now, who="w-1", other=one), entry(4, "same", now, who="w-1", other="w-9"),
    )  # fmt: skip
    assert MergedNumber.objects.count() == 0 and Child.objects.count() == len(floor.children) + 1


def test_three_lines_of_one_child_become_one(floor, now, twice, other):
    send(
        floor, entry(2, "walk-in", now, **FIRST | {"who": "w-3", "allergies": "peanuts"}),
        entry(3, "same", now, **SAME), entry(4, "same", now, who="w-3", other="w-2"), phone=other,
    )  # fmt: skip
    child = Child.objects.get(name__contains="Reed")
    assert child.allergies == "bee stings\npeanuts" and list(state(floor)["stays"]) == ["w-1"]


def test_what_was_sent_is_kept_when_merging_fails_and_the_next_sending_merges(
    floor, now, twice, monkeypatch, signed_in, coordinator
):
    def fails(**_):
        raise IntegrityError("Something has both.")

    with monkeypatch.context() as broken:
        broken.setattr(twins_service, "merge_children", fails)
        out = send(floor, entry(2, "same", now, **SAME))
    assert len(out.kept) == 1 and said(floor) == ["same"] and len(needs(now)) == 1
    send(floor)
    assert Child.objects.filter(name__contains="Reed").count() == 1 and needs(now) == []


def test_the_office_settles_it_during_the_clinic_and_only_who_keeps_children(
    floor, now, twice, signed_in, coordinator, floor_lead, stranger
):
    assert settle(stranger, floor, "same").redirect_chain
    assert settle(signed_in(floor_lead), floor, "same").status_code == 403
    client = signed_in(coordinator)
    assert "Choose whether" in settle(client, floor, "both").content.decode()
    assert "Someone already fixed" in settle(client, floor, "same", other="w-7").content.decode()
    assert Child.objects.filter(name__contains="Reed").count() == 2
    assert "Recorded as two children." in settle(client, floor, "apart").content.decode()
    assert said(floor) == ["apart"]
