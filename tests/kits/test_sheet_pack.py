"""What the run sheet needs is on the pack list, and on Ahead where the kit lacks it."""

from dataclasses import asdict
from datetime import timedelta
from typing import Any

import pytest
from django.urls import reverse

from clinics.models import Clinic
from core import clock
from core.hooks import Hook
from kits import hooks
from kits.models import Kit, KitBooking, KitItem
from kits.queries.kit_care_needs import kit_short_needs
from kits.queries.kits import kit_lines_with_state
from kits.words.items import short_items
from runsheets.models import Activity, RunSheetPlan
from runsheets.queries.sheet_packing import needs_of_sheets

pytestmark = pytest.mark.django_db

FLOOR = {"hoops": 4, "balls": 20, "capacity": 90, "tables": None, "sockets": None}


@pytest.fixture
def office(coordinator, signed_in):
    return signed_in(coordinator)


@pytest.fixture
def make_sheet(now):
    """A ready sheet: two groups of four, aged 9, one after the other at paper bridges and dribbling."""

    def inner(clinic, children=4, after=0):
        activities = [_facts("paper-bridges"), _facts("ball-handling")]
        slots = [
            {"kind": "rotation", "stations": {"A": "paper-bridges", "B": "ball-handling"}},
            {"kind": "rotation", "stations": {"A": "ball-handling", "B": "paper-bridges"}},
        ]
        groups = [
            {"code": code, "children": [], "count": children, "youngest": 9, "oldest": 9, "advanced": False}
            for code in "AB"
        ]
        return RunSheetPlan.objects.create(
            clinic=clinic,
            state="ready",
            groups=groups,
            facts={"floor": FLOOR, "adults": []},
            result={"slots": slots, "activities": activities},
            asked_at=now + timedelta(minutes=after),
        )

    return inner


def _facts(code):
    return asdict(Activity.objects.get(code=code).as_rule())


def pack(kit, clinic, **items):
    KitBooking.objects.create(kit=kit, clinic=clinic, period=(clinic.starts_at, clinic.ends_at))
    for name, count in items.items():
        KitItem.objects.create(kit=kit, name=name.replace("_", " "), count=count)


def page(office, clinic):
    answer = office.get(reverse("clinic-pack", args=[clinic.pk]))
    return {line.item: line for line in answer.context["lines"]}, answer.content.decode()


def test_the_pack_list_counts_what_the_stations_need(make_clinic, make_sheet, office):
    clinic = make_clinic(children=8, ages=(9, 9))
    before, words = page(office, clinic)
    assert "sheet of paper" not in before
    assert "no run sheet yet" in words

    make_sheet(clinic)
    lines, words = page(office, clinic)

    assert (lines["sheet of paper"].needed, lines["pair of scissors"].needed) == (3 * 8, 3)
    # Nine balls a head with the spare are more than the four that dribble at once.
    assert (lines["ball, size 6"].needed, lines["ball, size 6"].sheet) == (9, 4)
    # Cones: four for eight children but at least ten, and the station has twelve.
    assert lines["cone"].needed == 12
    assert "run sheet</span>" in words


def test_the_sheet_that_holds_is_counted_and_one_that_was_not_found_is_not(make_clinic, make_sheet, now):
    clinic = make_clinic(children=8, ages=(9, 9))
    make_sheet(clinic, children=2)
    make_sheet(clinic, children=3, after=1)
    RunSheetPlan.objects.create(clinic=clinic, state="failed", trouble="No.", asked_at=now + timedelta(hours=1))

    assert needs_of_sheets([clinic])[clinic.pk]["sheet of paper"] == 18


def test_ahead_and_the_kits_page_say_what_the_sheet_lacks(make_clinic, make_sheet):
    clinic = make_clinic(children=8, ages=(9, 9), days=5)
    kit = Kit.objects.create(name="Bag 9")
    pack(kit, clinic, cone=20, pinnie=10, sheet_of_paper=20, paper_clip=16, pair_of_scissors=3, coin=60)
    KitItem.objects.create(kit=kit, name="ball, size 6", count=12)
    KitItem.objects.create(kit=kit, name="first-aid pouch", count=1)
    assert list(kit_short_needs(clock.now())) == []

    make_sheet(clinic)

    need = next(kit_short_needs(clock.now()))
    assert need.headline == "Bag 9 is missing 4 sheets of paper"
    line = next(line for line in kit_lines_with_state(clock.now(), clock.today()) if line.kit == kit)
    assert short_items(line.short) == "4 sheets of paper"


def test_the_needs_of_many_sheets_cost_one_question(make_clinic, make_sheet, django_assert_num_queries):
    clinics = [make_clinic(children=8, ages=(9, 9), days=day) for day in range(2, 8)]
    for clinic in clinics:
        make_sheet(clinic)
    loaded = list(Clinic.objects.filter(pk__in=[one.pk for one in clinics]).prefetch_related("spots"))
    with django_assert_num_queries(1):
        assert len(needs_of_sheets(loaded)) == 6


def test_of_what_two_plans_need_the_larger_number_is_packed(make_clinic, monkeypatch):
    clinic = make_clinic()
    said: Hook[[Any], dict[int, dict[str, int]]] = Hook("said")

    def sheet(clinics: Any) -> dict[int, dict[str, int]]:
        return {clinic.pk: {"cone": 4, "coin": 2}}

    def other(clinics: Any) -> dict[int, dict[str, int]]:
        return {clinic.pk: {"cone": 9, "pinnie": 1}, 0: {}}

    said.add(sheet, other)
    monkeypatch.setattr(hooks, "needs_of_clinics", said)
    assert hooks.needs_to_pack([clinic]) == {clinic.pk: {"cone": 9, "coin": 2, "pinnie": 1}, 0: {}}
