"""How many people a clinic asks for: the strictest table, by hand more and never fewer, nobody taken off by it."""

from collections import Counter

import pytest
from django.urls import reverse

from clinics.models import AgeBand, Clinic, HandNeed
from clinics.rules.supervision import RATIO_TABLES
from core.refusal import Refusal
from shifts.models import Assignment
from shifts.queries.shift_needs import duties_for, ratio_adults, shift_count
from shifts.services.shifts import difference_since, fit_shifts

BANDS = [(7, 10, 24)]


def test_of_several_tables_the_stricter_one_counts():
    each = {code: Counter(duties_for(BANDS, code, False))["coach"] for code in RATIO_TABLES}
    loosest, strictest = min(each, key=each.__getitem__), max(each, key=each.__getitem__)
    assert each[loosest] < each[strictest]

    assert Counter(duties_for(BANDS, loosest, False, strictest))["coach"] == each[strictest]
    assert Counter(duties_for(BANDS, strictest, False, "", loosest))["coach"] == each[strictest]


def test_an_unknown_table_and_an_age_outside_it_are_refused_in_words():
    with pytest.raises(Refusal, match="Choose one of the supervision tables"):
        duties_for(BANDS, "aca_day_camp", False, "made_up")


@pytest.fixture
def clinic(make_clinic):
    row = make_clinic(children=24)
    fit_shifts(row)
    return row


def typed(clinic, **more):
    codes = ("lead", "coach", "first_aider", "door", "stem_lead", "helper")
    return {code: shift_count(clinic)[code] for code in codes} | more


def test_more_by_hand_adds_shifts_and_says_so(clinic, coordinator, signed_in):
    before = shift_count(clinic)
    client = signed_in(coordinator)
    assert (
        "The supervision tables require at least"
        in client.get(reverse("clinic-needs", args=[clinic.pk])).content.decode()
    )

    page = client.post(reverse("clinic-needs", args=[clinic.pk]), typed(clinic, door=2, helper=1), follow=True)

    assert shift_count(clinic) == before + Counter(door=1, helper=1)
    assert "1 more door shift is needed" in page.content.decode()
    assert HandNeed.objects.count() == 2
    client.post(reverse("clinic-needs", args=[clinic.pk]), typed(clinic, door=1, helper=0))
    assert shift_count(clinic) == before and not HandNeed.objects.exists()


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"coach": 0}, "The table requires"),
        ({"door": 61}, "up to 60 people"),
        ({"door": -1}, "greater than or equal to 0"),
    ],
)
def test_fewer_than_the_table_asks_is_refused(clinic, coordinator, signed_in, more, sentence):
    answer = signed_in(coordinator).post(reverse("clinic-needs", args=[clinic.pk]), typed(clinic) | more)

    assert answer.status_code == 422 and sentence in answer.content.decode()


def test_fewer_children_never_take_somebody_off(clinic, make_assignment):
    for shift in clinic.shifts.filter(duty__code="coach"):
        make_assignment(shift)
    before = shift_count(clinic)
    AgeBand.objects.filter(clinic=clinic).update(children=6)

    fit_shifts(clinic)

    assert shift_count(clinic) == before and Assignment.objects.live().count() == before["coach"]
    words = difference_since(clinic, before).words()
    assert "because someone was already asked" in words


def test_a_centers_and_a_funders_table_hold_beside_the_clinics_own(clinic):
    plain = ratio_adults(Clinic.objects.prefetch_related("bands", "hand_needs").get(pk=clinic.pk))
    each = {code: Counter(duties_for(BANDS, code, False))["coach"] for code in RATIO_TABLES}
    strictest = max(each, key=each.__getitem__)
    clinic.center.ratio_table = strictest
    clinic.center.save()

    fit_shifts(clinic)

    assert shift_count(clinic)["coach"] == each[strictest]
    assert ratio_adults(Clinic.objects.get(pk=clinic.pk)) == each[strictest] + 1 > plain


def test_only_who_books_clinics_changes_needs(clinic, floor_lead, stranger, signed_in):
    address = reverse("clinic-needs", args=[clinic.pk])
    assert signed_in(floor_lead).get(address).status_code == 403
    assert stranger.get(address).status_code == 302


def test_the_load_page_shows_hours_and_when_somebody_was_last_asked(
    coordinator, signed_in, make_assignment, make_volunteer
):
    imara = make_volunteer("Imara Venn")
    make_assignment(volunteer=imara)
    make_volunteer("Never Asked")
    client = signed_in(coordinator)

    page = client.get(reverse("load")).content.decode()
    rows = client.get(reverse("load-csv")).content.decode().splitlines()

    assert page.index("Imara Venn") < page.index("Never Asked") and "never" in page
    assert any(row.startswith("Imara Venn,1,2.75,") for row in rows)
