"""The run sheet on paper: a big clinic's board with every name on one page, cards that are not cut through."""

import re
from dataclasses import replace
from datetime import date, timedelta

import pytest
from django.urls import reverse

from core import clock
from families.models import Child, Spot
from runsheets.forms.run_sheet_choices import first_choice
from runsheets.models import Activity
from runsheets.services.run_sheets import ask_run_sheet, find_run_sheet

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]


@pytest.fixture
def big_sheet(make_clinic, make_space, make_shift, make_assignment, make_volunteer, coordinator):
    """Sixty children with names in seven or more groups, ten adults, a game at the end: two and a half hours."""
    space = make_space(hoops=8, capacity=150)
    clinic = make_clinic(space=space, days=3, theme="Pulse-rate data", children=60, ages=(8, 13))
    clinic.ends_at = clinic.starts_at + timedelta(minutes=150)
    clinic.save()
    for number in range(10):
        duty = ("lead", "stem_lead", "coach")[min(number, 2)]
        person = make_volunteer(f"Wilhelmina Featherstone {number}", duties=(duty,))
        make_assignment(make_shift(clinic, duty), person)
    for number in range(60):
        age = 8 + number % 6
        child = Child.objects.create(
            name=f"Bartholomew Quillfeather {number}",
            birth_date=date(clinic.day.year - age, 1, 1),
            registered_at=clock.now(),
        )
        Spot.objects.create(clinic=clinic, child=child, state="held", age=age, asked_at=clock.now())
    choice = first_choice(clinic, list(Activity.objects.offered()))
    choice = replace(choice, activities=[*choice.activities, "knockout"])
    row = ask_run_sheet(clinic=clinic, choice=choice, by=coordinator, now=clock.now())
    find_run_sheet(pk=row.pk, seconds=2)
    row.refresh_from_db()
    assert row.state == "ready", (row.result["binding"], row.result["changes"], len(row.groups))
    assert len(row.groups) >= 6
    return row


def pages_of(pdf):
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf))


@pytest.mark.parametrize("paper", ["Letter", "A4"])
def test_the_board_of_sixty_children_prints_on_one_page(big_sheet, sign_in, coordinator, paper, tmp_path):
    office = sign_in(coordinator)
    office.goto(reverse("clinic-sheet", args=[big_sheet.clinic_id]))

    pdf = office.pdf(format=paper, prefer_css_page_size=True)

    (tmp_path / "sheet.pdf").write_bytes(pdf)
    assert pages_of(pdf) == 1


def test_a_card_is_printed_for_each_adult(big_sheet, sign_in, coordinator):
    office = sign_in(coordinator)
    office.goto(reverse("clinic-sheet-cards", args=[big_sheet.clinic_id]))

    pdf = office.pdf(format="Letter", prefer_css_page_size=True)

    assert office.locator(".pocket > section").count() == 10
    assert pages_of(pdf) <= 5
