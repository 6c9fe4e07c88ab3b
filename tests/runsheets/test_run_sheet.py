"""The run sheet of a clinic: groups, the board, what changed since, the rest of a day, and who may see it."""

from datetime import date, timedelta

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

from clinics.models import AgeBand, Space
from clinics.rules.supervision import RATIO_TABLES
from core import clock
from families.models import Child, Guardian, Guardianship, Spot
from floor.queries.page import day_data
from kits.models import Kit, KitBooking, KitItem
from people.models import Clearance, Volunteer
from runsheets.models import RunSheetPlan
from runsheets.queries.needs import run_sheet_needs
from runsheets.queries.run_sheet_facts import facts_now
from runsheets.queries.run_sheet_floor import sheet_for_floor
from runsheets.rules.sheet_facts import strictest
from runsheets.services.run_sheets import find_run_sheet, find_waiting_run_sheets, purge_run_sheets
from runsheets.tasks import search_run_sheet
from scheduling.models import Booking
from scheduling.queries.clinics import clinics_ahead
from shifts.models import Assignment
from tests.clock import at

pytestmark = pytest.mark.django_db

CHOSEN = ("partner-shooting", "step-back-ladder", "ball-handling", "footwork", "pulse-data", "water", "closer")
FORM = {"changeover": 1, "water_every": 25, "siblings": "on", "act": "plan", **{f"a_{code}": "in" for code in CHOSEN}}
NAMES = ("Wren Ash", "Fern Moss", "Bryn Vale", "Ivo Marl", "Juno Peel", "Otis Rane", "Mina Sedge", "Rolf Teal")


@pytest.fixture
def office(coordinator, signed_in):
    return signed_in(coordinator)


@pytest.fixture
def make_day(make_clinic, make_shift, make_assignment, make_volunteer, make_space):
    """A clinic in three days with adults who have accepted, and children who hold a spot."""

    def inner(children=0, adults=("lead", "stem_lead", "coach", "coach"), expected=16, ages=(9, 10), **more):
        space = make_space(**{"hoops": more.pop("hoops", 4), "capacity": more.pop("capacity", 90)})
        clinic = make_clinic(space=space, days=more.pop("days", 3), children=expected, ages=ages, **more)
        for number, duty in enumerate(adults):
            person = make_volunteer(name=f"Adult {number} {duty}", duties=(duty,))
            make_assignment(make_shift(clinic, duty), person)
        for number in range(children):
            add_child(clinic, NAMES[number % 8] + (f" {number // 8}" if number > 7 else ""), 9 + number % 2)
        return clinic

    return inner


def add_child(clinic, name, age=9, **more):
    born = date(clinic.day.year - age, 1, 1)
    child = Child.objects.create(name=name, birth_date=born, registered_at=clock.now(), **more)
    Spot.objects.create(clinic=clinic, child=child, state="held", age=age, asked_at=clock.now())
    return child


def common_guardian(*children):
    guardian = Guardian.objects.create(name="Sorrel Ash", email="sorrel@example.org", registered_at=clock.now())
    for child in children:
        Guardianship.objects.create(guardian=guardian, child=child)


def as_shown(office, clinic):
    """Each child's group, as the page proposes it."""
    form = office.get(reverse("clinic-sheet-plan", args=[clinic.pk])).context["form"]
    return {f"g_{child.pk}": form[f"g_{child.pk}"].value() for child in form.children}


def plan(office, clinic, **more):
    answer = office.post(reverse("clinic-sheet-plan", args=[clinic.pk]), FORM | as_shown(office, clinic) | more)
    assert answer.status_code == 302, answer.content.decode()
    row = newest(clinic)
    find_run_sheet(pk=row.pk, seconds=3)
    row.refresh_from_db()
    return row


def newest(clinic):
    return RunSheetPlan.objects.filter(clinic=clinic)[0]


def words(answer):
    return " ".join(answer.content.decode().replace("&#x27;", "'").split())


def sheet(office, clinic):
    return words(office.get(reverse("clinic-sheet", args=[clinic.pk])))


def problems(answer):
    assert answer.status_code == 422
    return words(answer)


def test_before_anybody_registers_a_sheet_is_planned_for_the_expected_children(make_day, office):
    clinic = make_day(expected=16)
    assert "16 children are expected. No one has registered yet." in sheet(office, clinic)

    row = plan(office, clinic)

    assert row.state == "ready"
    assert [(one["count"], one["children"]) for one in row.groups] == [(8, []), (8, [])]
    page = sheet(office, clinic)
    assert "best possible" in page
    assert "Institute of Medicine, Educating the Student Body (2013)" in page
    assert "Partner shooting" in page
    assert "Adult 1 stem_lead" in page


def test_while_no_worker_has_looked_the_page_says_so_and_asks_again(make_day, office):
    clinic = make_day()
    office.post(reverse("clinic-sheet-plan", args=[clinic.pk]), FORM)

    page = sheet(office, clinic)

    assert "in line to start" in page
    assert 'hx-trigger="every 1s"' in page


def test_a_worker_that_was_asleep_finds_what_waits_and_finding_twice_changes_nothing(make_day, office):
    clinic = make_day()
    office.post(reverse("clinic-sheet-plan", args=[clinic.pk]), FORM)
    row = RunSheetPlan.objects.get()

    assert find_waiting_run_sheets() == 1
    row.refresh_from_db()
    assert row.state == "ready"
    assert find_run_sheet(pk=row.pk) is False


def test_brothers_and_sisters_go_together_and_apart_when_nobody_wants_it(make_day, office):
    clinic = make_day(children=0)
    young = add_child(clinic, "Wren Ash", 7)
    rest = [add_child(clinic, f"Middle {n}", 9) for n in range(10)]
    old = add_child(clinic, "Fern Ash", 12)
    common_guardian(young, old)

    groups = as_shown(office, clinic)
    assert groups[f"g_{young.pk}"] == groups[f"g_{old.pk}"]

    form = FORM | groups | {"act": "groups"}
    del form["siblings"]
    shown = office.post(reverse("clinic-sheet-plan", args=[clinic.pk]), form)
    anew = shown.context["form"]
    assert shown.status_code == 200
    assert anew[f"g_{young.pk}"].value() != anew[f"g_{old.pk}"].value()
    assert "No run sheet is made yet" in words(shown)
    assert not RunSheetPlan.objects.exists()
    assert len(rest) == 10


def test_a_pair_asked_for_stays_together_in_the_groups_made_anew_and_in_the_next_sheet(make_day, office):
    clinic = make_day(children=12)
    children = {child.name: child.pk for child in Child.objects.all()}
    groups = as_shown(office, clinic)
    one, other = next(
        (a, b) for a in children.values() for b in children.values() if groups[f"g_{a}"] != groups[f"g_{b}"]
    )

    form = FORM | groups | {"act": "groups", "pair_a": one, "pair_b": other}
    anew = office.post(reverse("clinic-sheet-plan", args=[clinic.pk]), form).context["form"]

    assert anew[f"g_{one}"].value() == anew[f"g_{other}"].value()
    assert anew["pairs"].value() == [f"{min(one, other)}-{max(one, other)}"]
    moved = {f"g_{pk}": anew[f"g_{pk}"].value() for pk in children.values()}
    row = plan(office, clinic, **moved, pairs=anew["pairs"].value())
    assert row.facts["together"] == [[min(one, other), max(one, other)]]


def test_a_pair_in_two_groups_is_not_planned_before_that_is_settled(make_day, office):
    clinic = make_day(children=12)
    groups = as_shown(office, clinic)
    one = next(name[2:] for name, code in groups.items() if code == "A")
    other = next(name[2:] for name, code in groups.items() if code == "B")

    answer = office.post(
        reverse("clinic-sheet-plan", args=[clinic.pk]), FORM | groups | {"pair_a": one, "pair_b": other}
    )

    assert "should stay together but are in groups" in problems(answer)
    assert not RunSheetPlan.objects.exists()


def test_groups_of_expected_children_stay_as_many_when_planned_anew_while_that_can_be(make_day, office):
    clinic = make_day(expected=16)
    assert len(plan(office, clinic, number=4).groups) == 4

    office.post(reverse("clinic-sheet-again", args=[clinic.pk]))
    assert len(newest(clinic).groups) == 4

    AgeBand.objects.filter(clinic=clinic).update(children=3)
    office.post(reverse("clinic-sheet-again", args=[clinic.pk]))
    assert [one["count"] for one in newest(clinic).groups] == [3]


def test_the_worker_s_task_finds_the_sheet(make_day, office):
    clinic = make_day()
    office.post(reverse("clinic-sheet-plan", args=[clinic.pk]), FORM)

    search_run_sheet(newest(clinic).pk)

    assert newest(clinic).state == "ready"


def test_a_child_moved_by_hand_is_in_the_other_group_of_the_sheet(make_day, office):
    clinic = make_day(children=12)
    groups = as_shown(office, clinic)
    field = next(name for name, code in groups.items() if code == "A")

    row = plan(office, clinic, **{field: "B"})

    assert int(field[2:]) in next(one["children"] for one in row.groups if one["code"] == "B")
    assert sum(one["count"] for one in row.groups) == 12
    assert as_shown(office, clinic)[field] == "B"


def test_children_who_play_in_a_team_are_apart_when_asked(make_day, office):
    clinic = make_day(children=8)
    team = {add_child(clinic, f"Team {n}", 9, experience="team").pk for n in range(4)}

    form = FORM | as_shown(office, clinic) | {"act": "groups", "advanced_apart": "on"}
    anew = office.post(reverse("clinic-sheet-plan", args=[clinic.pk]), form).context["form"]
    moved = {f"g_{child.pk}": anew[f"g_{child.pk}"].value() for child in anew.children}
    row = plan(office, clinic, **moved, advanced_apart="on")

    assert [set(one["children"]) for one in row.groups if one["advanced"]] == [team]


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"number": 99}, "less than or equal to 26"),
        ({"number": 13, "act": "groups"}, "12 children can’t be split into 13 groups"),
        ({"changeover": ""}, "This field is required"),
        ({"a_step-back-ladder": "twice"}, "not one of the available choices"),
        ({f"a_{code}": "" for code in CHOSEN}, "There are no stations. Choose at least one."),
        ({"a_pulse-data": "fits"}, "Every group does STEM. Choose at least one STEM station."),
    ],
)
def test_what_can_t_be_planned_is_refused_in_words_and_stays_typed(make_day, office, typed, sentence):
    clinic = make_day(children=12)

    answer = office.post(reverse("clinic-sheet-plan", args=[clinic.pk]), FORM | as_shown(office, clinic) | typed)

    assert sentence in problems(answer)
    assert answer.context["form"]["water_every"].value() == "25"
    assert not RunSheetPlan.objects.exists()


def test_a_child_without_a_group_and_a_pair_of_one_are_named(make_day, office):
    clinic = make_day(children=2)
    groups = as_shown(office, clinic)
    field = next(iter(groups))
    name = Child.objects.get(pk=field[2:]).name

    page = problems(
        office.post(
            reverse("clinic-sheet-plan", args=[clinic.pk]),
            FORM | groups | {field: "", "pair_a": field[2:], "pair_b": field[2:]},
        )
    )

    assert f"Choose a group for {name}." in page
    assert "Choose two children to keep together, or leave both empty." in page


def test_without_children_there_is_nothing_to_plan(make_day, office):
    clinic = make_day()
    AgeBand.objects.filter(clinic=clinic).delete()

    assert "No children are expected yet" in sheet(office, clinic)
    answer = office.post(reverse("clinic-sheet-plan", args=[clinic.pk]), FORM)
    assert "There are no children yet" in problems(answer)


def test_without_a_space_or_after_cancelling_it_is_refused(make_day, office):
    clinic = make_day()
    Booking.objects.filter(clinic=clinic).update(status="cancelled")
    assert "No space is reserved" in problems(office.post(reverse("clinic-sheet-plan", args=[clinic.pk]), FORM))

    clinic.status = "cancelled"
    clinic.save()
    assert "cancelled" in problems(office.post(reverse("clinic-sheet-plan", args=[clinic.pk]), FORM))


def test_one_hoop_for_sixty_says_how_many_there_must_be(make_day, office):
    clinic = make_day(expected=60, hoops=1, adults=("lead", "stem_lead", *["coach"] * 7))

    row = plan(office, clinic)

    assert row.state == "can't"
    page = sheet(office, clinic)
    assert "For 60 children you need 6 hoops, but you have 1." in page
    assert "5 more hoops" in page
    assert "Choose another space" in page
    assert sheet_for_floor(clinic) is None


def test_minutes_that_can_t_hold_the_opener_say_how_many_would(make_day, office):
    clinic = make_day()
    clinic.ends_at = clinic.starts_at + timedelta(minutes=4)
    clinic.save()

    row = plan(office, clinic)

    assert row.state == "can't"
    (binding,) = row.result["binding"]
    assert (binding["code"], binding["facts"]["there"]) == ("too little time", 4)
    assert "Everything on the list takes at least" in sheet(office, clinic)


def test_too_few_adults_say_how_many_more_and_where_to_look(make_day, office):
    clinic = make_day(adults=("stem_lead",))

    plan(office, clinic)

    page = sheet(office, clinic)
    assert "You need 2 adults in all for 16 children, but you have 1." in page
    assert "One more adult" in page
    assert "View cover" in page


def test_one_press_tries_a_sheet_without_the_station_that_stands_in_the_way(make_day, office):
    clinic = make_day()
    clinic.ends_at = clinic.starts_at + timedelta(minutes=45)
    clinic.save()
    row = plan(office, clinic)
    assert row.state == "can't"
    code = next(one["parts"][0][1] for one in row.result["changes"] if one["parts"][0][0] == "leave out")
    assert "Plan without this activity" in sheet(office, clinic)

    office.post(reverse("clinic-sheet-again", args=[clinic.pk]), {"leave_out": code})

    new = newest(clinic)
    find_run_sheet(pk=new.pk, seconds=3)
    new.refresh_from_db()
    assert new.state == "ready"
    assert code not in {one["code"] for one in new.facts["activities"]}


def test_one_press_tries_one_more_group(make_day, office):
    clinic = make_day(children=12, adults=("lead", "stem_lead", "coach", "coach"))
    row = plan(office, clinic)

    office.post(reverse("clinic-sheet-again", args=[clinic.pk]), {"more_groups": "1"})

    assert len(newest(clinic).groups) == len(row.groups) + 1


def test_helpers_the_door_and_whoever_is_not_cleared_are_at_no_station(
    make_day, make_shift, make_assignment, make_volunteer
):
    clinic = make_day(adults=("lead",))
    people = {}
    for duty in ("helper", "door", "coach"):
        people[duty] = make_volunteer(name=f"The {duty}", duties=(duty,), adult=duty != "helper")
        make_assignment(make_shift(clinic, duty), people[duty])
    Clearance.objects.filter(volunteer=people["coach"]).delete()

    facts = facts_now(clinic, 16)

    assert [one["name"] for one in facts["adults"]] == ["Adult 0 lead"]
    assert facts["door"] == ["The door"]
    assert [one["name"] for one in facts["left_out"]] == ["The helper", "The coach"]
    assert all(one["why"] for one in facts["left_out"])


def test_balls_are_those_of_the_kit_that_can_be_used_and_one_each_without_a_kit(make_day):
    clinic = make_day()
    assert facts_now(clinic, 16)["floor"]["balls"] == 16

    kit = Kit.objects.create(name="Bag 9")
    for name, count in (("ball, size 5", 7), ("ball, size 6", 4), ("ball pump", 2), ("football shirts", 9)):
        KitItem.objects.create(kit=kit, name=name, count=count)
    KitItem.objects.create(kit=kit, name="ball, size 7", count=5, condition="missing")
    KitBooking.objects.create(kit=kit, clinic=clinic, period=(clinic.starts_at, clinic.ends_at))

    assert facts_now(clinic, 16)["floor"]["balls"] == 11


def test_of_several_tables_each_age_has_its_strictest_row():
    # NSPCC: 1 to 6 at ages 4 to 8, 1 to 8 at 9 to 12. ACA day camp: 1 to 8 at 6 to 8, 1 to 10 to 14.
    table = strictest([RATIO_TABLES["aca_day_camp"], RATIO_TABLES["nspcc"]])

    assert [table.row_for(age).children_per_adult for age in (7, 9, 13, 16)] == [6, 8, 10, 10]
    # Missouri begins at 5: a child of 4 takes its nearest row.
    assert strictest([RATIO_TABLES["missouri"]]).row_for(4).children_per_adult == 16


def test_a_stricter_table_of_the_center_asks_for_more_adults(make_day, office):
    clinic = make_day(expected=16, ages=(7, 8), adults=("stem_lead", "lead"))
    assert plan(office, clinic).state == "ready"

    clinic.center.ratio_table = "nspcc"
    clinic.center.save()

    facts = {"children": 16, "needed": 3, "there": 2}
    assert {"code": "too few adults", "facts": facts} in plan(office, clinic).result["binding"]


def test_what_changed_since_is_named_and_planned_anew_in_one_press(make_day, make_shift, make_assignment, office):
    clinic = make_day(children=10)
    row = plan(office, clinic)
    assert "Changed since" not in sheet(office, clinic)

    Assignment.objects.filter(volunteer__name="Adult 3 coach").update(reply="declined")
    came = make_assignment(make_shift(clinic, "coach")).volunteer
    gone = Spot.objects.filter(clinic=clinic, child__name="Wren Ash").get()
    gone.state, gone.given_up_at = "given up", clock.now()
    gone.save()
    add_child(clinic, "Tove Lark", 10)
    clinic.starts_at += timedelta(minutes=10)
    clinic.save()
    space = clinic.bookings.get().space
    space.hoops = 3
    space.save()

    page = sheet(office, clinic)

    for sentence in (
        "Adult 3 coach is no longer coming, or no longer counts as an adult.",
        f"{came.name} is coming but isn’t on the run sheet.",
        "Wren Ash no longer has a spot.",
        "Tove Lark has a spot but isn’t in a group.",
        "but the run sheet is for 09:30 to 11:30.",
        "with 3 hoops.",
    ):
        assert sentence in page
    office.post(reverse("clinic-sheet-again", args=[clinic.pk]))
    new = newest(clinic)
    assert new.pk != row.pk
    find_run_sheet(pk=new.pk, seconds=3)
    assert "Changed since" not in sheet(office, clinic)
    assert "Tove Lark" in sheet(office, clinic)


def test_a_sheet_for_expected_children_tells_when_families_have_registered(make_day, office):
    clinic = make_day()
    plan(office, clinic)
    add_child(clinic, "Tove Lark")

    assert "1 child has a spot now. The run sheet used the expected number." in sheet(office, clinic)


def rest(office, clinic, **typed):
    return office.post(reverse("clinic-sheet-rest", args=[clinic.pk]), {"done": 0, "late": 0, "hoops_out": 0} | typed)


def test_the_rest_of_a_day_keeps_what_was_done_and_the_earlier_sheet_stays_readable(make_day, office):
    clinic = make_day(children=12)
    row = plan(office, clinic)
    first = next(slot for slot in row.result["slots"] if slot["kind"] == "rotation")
    done = first["start"] + first["minutes"]
    missing = next(one["who"] for one in row.facts["adults"] if one["name"] == "Adult 3 coach")

    assert rest(office, clinic, done=done, late=5, missing=missing, hoops_out=1).status_code == 302
    new = newest(clinic)
    find_run_sheet(pk=new.pk, seconds=3)
    new.refresh_from_db()

    kept = [slot for slot in row.result["slots"] if slot["start"] + slot["minutes"] <= done]
    assert new.state == "ready"
    assert new.rest_of_id == row.pk
    assert new.result["slots"][: len(kept)] == kept
    later = new.result["slots"][len(kept) :]
    assert later[0]["start"] >= done + 5
    assert later[-1]["start"] + later[-1]["minutes"] <= row.facts["minutes"]
    assert all("Adult 3 coach" not in names for slot in later for names in slot["adults"].values())
    for group in ("A", "B"):
        codes = [slot["stations"][group] for slot in new.result["slots"] if slot["kind"] == "rotation"]
        assert sorted(codes) == sorted({"step-back-ladder", "ball-handling", "footwork", "pulse-data"})
    page = sheet(office, clinic)
    assert "5 minutes late, Adult 3 coach missing, and 1 hoop out of use" in page
    # Who is missing today and what is out is known: neither counts as a change since.
    assert "Changed since" not in page
    earlier = office.get(reverse("clinic-sheet-row", args=[clinic.pk, row.pk]))
    assert "Adult 3 coach" in words(earlier)


def test_in_the_middle_of_a_clinic_what_the_clock_says_is_over_counts_as_done(make_day, office, coordinator, signed_in):
    clinic = make_day(children=12)
    row = plan(office, clinic)
    address = reverse("clinic-sheet-rest", args=[clinic.pk])
    assert office.get(address).context["form"]["done"].value() == 0
    first, second = row.result["slots"][:2]

    with at(clinic.starts_at + timedelta(minutes=second["start"] + 1), tick=False):
        form = signed_in(coordinator).get(address).context["form"]

    assert form["done"].value() == first["start"] + first["minutes"]


def leads(clinic, account):
    """The account is of the volunteer who leads this clinic."""
    Volunteer.objects.filter(assignments__shift__clinic=clinic, duties=["lead"]).update(email=account.email)


def test_the_floor_lead_plans_the_rest_again_on_the_day_itself_and_on_no_other(make_day, office, floor_lead, signed_in):
    clinic, other = make_day(children=12), make_day(children=8)
    for one in (clinic, other):
        plan(office, one)
    leads(clinic, floor_lead)
    lead = signed_in(floor_lead)
    assert rest(lead, clinic, late=5).status_code == 403
    assert "Replan for changes today" not in sheet(lead, clinic)

    with at(clinic.starts_at - timedelta(minutes=5), tick=False):
        lead = signed_in(floor_lead)
        assert "Replan for changes today" in sheet(lead, clinic)
        assert rest(lead, clinic, late=5).status_code == 302
        # Nor at a clinic that another leads.
        refused = rest(lead, other, late=5)
        assert refused.status_code == 403 and "Adult 0 lead" in refused.content.decode()
        assert "Replan for changes today" not in sheet(lead, other)
    assert newest(clinic).asked_by == floor_lead


def test_only_its_lead_and_the_office_read_the_childrens_names_on_a_run_sheet(make_day, office, floor_lead, signed_in):
    clinic = make_day(children=8)
    row = plan(office, clinic)
    spot = Spot.objects.filter(clinic=clinic)[0]
    spot.state, spot.given_up_at = "given up", clock.now()
    spot.save()
    add_child(clinic, "Late Rowan")
    add_child(clinic, "Later Rowan")
    lead = signed_in(floor_lead)
    addresses = [
        reverse("clinic-sheet", args=[clinic.pk]),
        reverse("clinic-sheet-row", args=[clinic.pk, row.pk]),
        reverse("clinic-sheet-cards", args=[clinic.pk]),
    ]

    def named(client):
        pages = [words(client.get(address)) for address in addresses]
        return [any(name in page for name in (*NAMES, "Late Rowan", "Later Rowan")) for page in pages]

    assert named(office) == [True, True, True] and named(lead) == [False, False, False]
    seen = words(lead.get(addresses[0]))
    assert "Children’s names show only to" in seen and seen.count("A child has a spot but isn’t in a group.") == 1
    leads(clinic, floor_lead)
    assert named(lead) == [False, False, False], "not before the day before"
    with at(clinic.starts_at - timedelta(hours=24)):
        assert named(signed_in(floor_lead)) == [True, True, True]


def test_the_rest_can_be_planned_again_a_second_time(make_day, office):
    clinic = make_day(children=12)
    row = plan(office, clinic)
    rest(office, clinic, late=5)
    second = newest(clinic)
    find_run_sheet(pk=second.pk, seconds=3)
    second.refresh_from_db()
    done = second.result["slots"][0]["start"] + second.result["slots"][0]["minutes"]

    rest(office, clinic, done=done, late=3)

    third = newest(clinic)
    find_run_sheet(pk=third.pk, seconds=3)
    third.refresh_from_db()
    assert third.state == "ready"
    assert third.result["slots"][0] == second.result["slots"][0]
    last = third.result["slots"][-1]
    assert last["start"] + last["minutes"] <= row.facts["minutes"]


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({}, "Enter what changed"),
        ({"late": 120}, "The clinic is only 120 minutes long"),
        ({"hoops_out": 9}, "The space has 4 hoops"),
        ({"late": -1}, "greater than or equal to 0"),
        ({"done": 3, "late": 1}, "not one of the available choices"),
        ({"missing": 999999}, "not one of the available choices"),
    ],
)
def test_a_rest_that_can_t_be_is_refused_in_words(make_day, office, typed, sentence):
    clinic = make_day()
    plan(office, clinic)

    assert sentence in problems(rest(office, clinic, **typed))
    assert RunSheetPlan.objects.count() == 1


def test_a_day_on_which_the_stem_lead_is_missing_says_so_and_the_old_sheet_holds(make_day, office):
    clinic = make_day()
    row = plan(office, clinic)
    missing = next(one["who"] for one in row.facts["adults"] if "stem lead" in one["skills"])

    rest(office, clinic, missing=missing)
    new = newest(clinic)
    find_run_sheet(pk=new.pk, seconds=3)

    page = sheet(office, clinic)
    assert "Pulse data needs a STEM lead, but no one coming is one." in page
    assert "Until a new plan is ready" in page
    assert len((sheet_for_floor(clinic) or {})["slots"]) == len(row.result["slots"])


def test_the_floor_page_gets_the_sheet_and_each_child_s_group(floor, office, now):
    clinic = floor.clinic
    row = plan(office, clinic, **{"a_step-back-ladder": "", "a_pulse-data": "", "a_knockout": "in"})
    assert row.state == "ready", (row.trouble, row.result.get("binding"))

    data = day_data(floor.phone, now)

    children = {child["name"]: child["group"] for child in data["children"]}
    assert children == {"Wren Ash": "A", "Fern Moss": "A", "Bryn Vale": "A"}
    assert data["sheet"]["groups"] == [{"code": "A", "children": [f"c{pk}" for pk in row.groups[0]["children"]]}]
    opener = data["sheet"]["slots"][0]
    assert (opener["kind"], opener["start"]) == ("opener", 0)
    assert opener["stations"]["A"]["name"] == "Partner shooting"
    assert opener["stations"]["A"]["where"] == "whole space"
    assert opener["adults"]["A"]
    station = next(slot for slot in data["sheet"]["slots"] if slot["kind"] == "rotation")["stations"]["A"]
    assert station["where"] in ("station 1 of 2", "station 2 of 2")
    assert station["safety"]


def test_without_a_sheet_the_floor_page_has_none(floor, now):
    data = day_data(floor.phone, now)

    assert data["sheet"] is None
    assert {child["group"] for child in data["children"]} == {""}


def needs():
    now = clock.now()
    return [need.headline for need in run_sheet_needs(list(clinics_ahead(now).live()), now)]


def test_ahead_names_a_clinic_of_the_coming_week_without_a_sheet(make_day, office):
    clinic = make_day(days=3)
    make_day(days=9)
    assert needs() == [f"{clinic.center.name} needs a run sheet"]

    plan(office, clinic)
    assert needs() == []


def test_ahead_says_which_limit_binds_where_no_sheet_can_be_made(make_day, office):
    clinic = make_day(hoops=1, expected=60)
    plan(office, clinic)

    found = list(run_sheet_needs(list(clinics_ahead(clock.now()).live()), clock.now()))

    assert [need.headline for need in found] == [f"We couldn’t make a run sheet for {clinic.center.name}"]
    assert "For 60 children you need 6 hoops, but you have 1." in found[0].detail


def test_a_space_whose_tables_nobody_has_counted_has_as_many_as_it_takes(make_day, office):
    clinic = make_day()
    assert plan(office, clinic).state == "ready"

    Space.objects.update(tables=0)

    row = plan(office, clinic)
    assert row.state == "can't"
    facts = {"name": "Pulse data", "needed": 1, "there": 0}
    assert {"code": "station tables", "facts": facts} in row.result["binding"]


def test_ahead_names_a_sheet_that_counts_on_somebody_who_no_longer_comes(make_day, office):
    clinic = make_day()
    plan(office, clinic)

    Assignment.objects.filter(volunteer__name="Adult 2 coach").update(reply="declined")

    assert needs() == ["The run sheet lists Adult 2 coach, who is no longer coming"]


def test_each_adult_has_a_card_with_the_times_and_the_points_of_the_own_stations(make_day, office):
    clinic = make_day()
    page = words(office.get(reverse("clinic-sheet-cards", args=[clinic.pk])))
    assert "There is no run sheet yet" in page

    plan(office, clinic)

    cards = office.get(reverse("clinic-sheet-cards", args=[clinic.pk])).context["cards"]
    assert {card.name for card in cards} == {"Adult 0 lead", "Adult 1 stem_lead", "Adult 2 coach", "Adult 3 coach"}
    stem = next(card for card in cards if card.name == "Adult 1 stem_lead")
    assert "Pulse data" in {what for what, _, _ in stem.points}
    assert all(card.lines[0].what == "Partner shooting" for card in cards)


def test_a_stranger_sees_none_of_it_and_a_floor_lead_reads_without_planning(
    make_day, office, floor_lead, signed_in, stranger
):
    clinic = make_day()
    row = plan(office, clinic)
    lead = signed_in(floor_lead)

    for name, args in (
        ("clinic-sheet", [clinic.pk]),
        ("clinic-sheet-row", [clinic.pk, row.pk]),
        ("clinic-sheet-cards", [clinic.pk]),
    ):
        assert stranger.get(reverse(name, args=args)).status_code == 302
        assert lead.get(reverse(name, args=args)).status_code == 200
    for name in ("clinic-sheet-plan", "clinic-sheet-rest", "clinic-sheet-again"):
        assert stranger.post(reverse(name, args=[clinic.pk]), FORM).status_code == 302
        assert lead.post(reverse(name, args=[clinic.pk]), FORM).status_code == 403
    assert RunSheetPlan.objects.count() == 1
    assert "Edit activities or groups" not in sheet(lead, clinic)


def test_a_sheet_of_another_clinic_is_not_found_under_this_one(make_day, office):
    clinic, other = make_day(), make_day(days=5)
    row = plan(office, clinic)

    assert office.get(reverse("clinic-sheet-row", args=[other.pk, row.pk])).status_code == 404


def test_looking_changes_nothing(make_day, office):
    clinic = make_day(children=8)

    for name in ("clinic-sheet", "clinic-sheet-plan", "clinic-sheet-cards", "clinic-sheet-rest"):
        office.get(reverse(name, args=[clinic.pk]))

    assert not RunSheetPlan.objects.exists()


def test_the_pages_ask_the_same_number_of_questions_for_many_children_and_adults(
    make_day, office, django_assert_max_num_queries, django_assert_num_queries
):
    small = make_day(children=8)
    large = make_day(children=24, days=5, adults=("lead", "stem_lead", *["coach"] * 6))
    for clinic in (small, large):
        assert plan(office, clinic).state == "ready"
        for spot in Spot.objects.filter(clinic=clinic)[:3]:
            spot.state, spot.given_up_at = "given up", clock.now()
            spot.save()
    for name, most in (("clinic-sheet", 22), ("clinic-sheet-plan", 16), ("clinic-sheet-cards", 20)):
        with django_assert_max_num_queries(most) as few:
            office.get(reverse(name, args=[small.pk]))
        with django_assert_num_queries(len(few)):
            office.get(reverse(name, args=[large.pk]))


def test_a_search_that_can_t_go_on_fails_with_words_and_keeps_the_page_readable(make_day, office):
    clinic = make_day()
    row = plan(office, clinic)
    rest(office, clinic, late=5)
    new = newest(clinic)
    row.delete()

    find_run_sheet(pk=new.pk, seconds=3)

    new.refresh_from_db()
    assert new.state == "failed"
    assert new.trouble == "sheet gone"
    assert "is no longer there. Make a new one." in sheet(office, clinic)


def test_sheets_go_a_year_after_their_clinic_and_not_a_day_before(make_day, office, now):
    clinic = make_day()
    plan(office, clinic)

    assert purge_run_sheets(now=clinic.ends_at + timedelta(days=365)) == 0
    assert purge_run_sheets(now=clinic.ends_at + timedelta(days=365, seconds=1)) == 1
    assert not RunSheetPlan.objects.exists()


def test_the_database_keeps_no_ready_sheet_without_slots_and_no_failure_without_words(make_day):
    clinic = make_day()
    for wrong in ({"state": "ready"}, {"state": "failed"}):
        with pytest.raises(IntegrityError), transaction.atomic():
            RunSheetPlan.objects.create(clinic=clinic, asked_at=clock.now(), **wrong)
