"""Volunteers and their clearances: the pages, who may see them, and what wrong input meets."""

from datetime import timedelta

import pytest
from django.urls import reverse

from core import clock
from core.formats import short_date, short_day
from people.models import Clearance, DutyBook, PolicyRow, Volunteer


def details(**more):
    return {
        "name": "Imara Venn",
        "email": "imara@example.org",
        "phone": "555-0121",
        "duties": ["coach"],
        "adult": "on",
        "home_area": "Mill Green",
        "latitude": "41.52",
        "longitude": "-77.6",
        "reminders": "on",
    } | more


def test_a_volunteer_is_added_with_one_form(coordinator, signed_in, policy):
    answer = signed_in(coordinator).post(reverse("volunteer-new"), details(), follow=True)

    assert "Imara Venn saved" in answer.content.decode()
    assert Volunteer.objects.get().duties == ["coach"]


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"email": "not an address"}, "valid email address"),
        ({"email": "IMARA@example.org"}, "already on file"),
        ({"duties": []}, "Choose at least one duty"),
        ({"duties": ["juggler"]}, "not one of the available choices"),
        ({"name": "   "}, "This field is required"),
        ({"name": "x" * 5000}, "at most 120 characters"),
        ({"latitude": "41.5", "longitude": ""}, "both latitude and longitude"),
        ({"latitude": "910"}, "less than or equal to 90"),
        ({"adult": "", "duties": ["coach"]}, "Choose helper only"),
    ],
)
def test_wrong_details_are_said_in_words_and_nothing_typed_is_lost(
    coordinator, signed_in, make_volunteer, change, sentence
):
    make_volunteer("Somebody Else", email="imara@example.org")
    wanted = details(email="other@example.org", home_area="Kept as typed") | change

    answer = signed_in(coordinator).post(reverse("volunteer-new"), wanted)

    text = answer.content.decode()
    assert answer.status_code == 422 and sentence in text and "Kept as typed" in text
    assert Volunteer.objects.count() == 1


def record(policy, **more):
    return {
        "kind": policy["conduct"].pk,
        "state": "clear",
        "issued_on": clock.today().isoformat(),
        "expires_on": "",
        "reference": "CO-1",
        "issuer": "Larkmoor County Registry",
    } | more


def test_a_renewal_is_recorded_and_leads_back_to_where_she_came_from(admin, signed_in, make_volunteer, policy):
    person = make_volunteer(cleared=())
    address = reverse("clearance-new", args=[person.pk]) + "?kind=conduct&next=/horizon/"
    client = signed_in(admin)
    assert f'value="{policy["conduct"].pk}" selected' in client.get(address).content.decode()

    answer = client.post(address, record(policy))

    assert answer["Location"] == "/horizon/"
    row = Clearance.objects.get()
    assert row.recorded_by == admin


def test_pressing_save_twice_records_once(admin, signed_in, make_volunteer, policy):
    person = make_volunteer(cleared=())
    client = signed_in(admin)
    for _ in range(2):
        client.post(reverse("clearance-new", args=[person.pk]), record(policy))

    assert Clearance.objects.count() == 1


def test_another_site_is_never_where_she_came_from(admin, signed_in, make_volunteer, policy):
    person = make_volunteer(cleared=())

    answer = signed_in(admin).post(
        reverse("clearance-new", args=[person.pk]), record(policy, next="https://elsewhere.example.com/")
    )

    assert answer["Location"] == reverse("volunteer", args=[person.pk])


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"issued_on": ""}, "Enter the issue date"),
        ({"issued_on": (clock.today() + timedelta(days=2)).isoformat()}, "in the future"),
        ({"issued_on": "1899-01-01"}, "more than 60 years ago"),
        ({"expires_on": "2020-01-01"}, "The last valid day is before the issue date"),
        ({"expires_on": "2199-01-01"}, "more than 20 years from now"),
        ({"issued_on": "2026-02-30"}, "Enter the date as year-month-day"),
        ({"kind": "999999"}, "Select a valid choice"),
        ({"state": "splendid"}, "Select a valid choice"),
        ({"reference": "x" * 500}, "at most 80 characters"),
    ],
)
def test_a_record_that_cannot_be_is_refused_in_words(admin, signed_in, make_volunteer, policy, change, sentence):
    person = make_volunteer(cleared=())

    answer = signed_in(admin).post(reverse("clearance-new", args=[person.pk]), record(policy) | change)

    assert answer.status_code == 422 and sentence in answer.content.decode()
    assert not Clearance.objects.exists()


def test_an_awaited_result_needs_no_date(admin, signed_in, make_volunteer, policy):
    person = make_volunteer(cleared=())

    signed_in(admin).post(reverse("clearance-new", args=[person.pk]), record(policy, state="awaiting", issued_on=""))

    assert Clearance.objects.get().state == "awaiting"


def test_a_correction_leaves_who_when_before_and_after(admin, signed_in, make_volunteer, policy):
    person = make_volunteer(cleared=("conduct",))
    row = Clearance.objects.get()
    before = row.issued_on
    assert before is not None
    client = signed_in(admin)

    client.post(reverse("clearance-change", args=[row.pk]), record(policy, reference="CO-2"))

    text = client.get(reverse("volunteer", args=[person.pk])).content.decode()
    assert before is not None
    assert f"date issued changed from {short_date(before)} to {short_date(clock.today())}" in text
    assert f'<p class="by">{admin.name}</p>' in text


def test_even_a_bulk_change_is_in_the_history(admin, signed_in, make_volunteer):
    person = make_volunteer(cleared=("conduct",))
    Clearance.objects.update(reference="changed in bulk")

    text = signed_in(admin).get(reverse("volunteer", args=[person.pk])).content.decode()

    assert "reference number changed from empty to changed in bulk" in text


def pages(person):
    row = Clearance.objects.filter(volunteer=person)[0]
    return {
        "volunteers": reverse("volunteers"),
        "volunteer": reverse("volunteer", args=[person.pk]),
        "volunteer-new": reverse("volunteer-new"),
        "volunteer-change": reverse("volunteer-change", args=[person.pk]),
        "clearance-new": reverse("clearance-new", args=[person.pk]),
        "clearance-change": reverse("clearance-change", args=[row.pk]),
    }


def test_a_stranger_is_sent_to_sign_in_everywhere(stranger, make_volunteer):
    for address in pages(make_volunteer()).values():
        assert stranger.get(address)["Location"].startswith("/log-in/")


def test_a_coordinator_records_no_clearance_and_a_floor_lead_sees_nobody(
    coordinator, floor_lead, admin, signed_in, make_volunteer
):
    addresses = pages(make_volunteer())

    def opened(account):
        client = signed_in(account)
        return {name for name, address in addresses.items() if client.get(address).status_code == 200}

    assert opened(admin) == set(addresses)
    assert opened(coordinator) == set(addresses) - {"clearance-new", "clearance-change"}
    assert opened(floor_lead) == set()


@pytest.mark.parametrize("query", ["?q=%00", "?duty=juggler", "?page=minus", "?q=" + "y" * 3000])
def test_odd_filters_show_a_page(query, coordinator, signed_in):
    assert signed_in(coordinator).get(reverse("volunteers") + query).status_code == 200


def test_the_list_costs_the_same_however_many_volunteers(
    coordinator, signed_in, make_volunteer, django_assert_max_num_queries, django_assert_num_queries
):
    client = signed_in(coordinator)
    for _ in range(3):
        make_volunteer()
    with django_assert_max_num_queries(12) as few:
        client.get(reverse("volunteers"))
    for _ in range(30):
        make_volunteer()
    DutyBook.forget()
    with django_assert_num_queries(len(few)):
        client.get(reverse("volunteers"))


def test_until_in_the_list_knows_of_a_policy_to_come(coordinator, signed_in, make_volunteer, policy):
    make_volunteer()
    begins = clock.today() + timedelta(days=20)
    PolicyRow.objects.create(duty_id="coach", kind=policy["first_aid"], months=24, from_day=begins)

    page = signed_in(coordinator).get(reverse("volunteers")).content.decode()

    eve = begins - timedelta(days=1)
    assert f"through {short_date(eve)}" in page


def test_a_withdrawn_clearance_is_not_called_never_recorded(coordinator, signed_in, make_volunteer, policy):
    person = make_volunteer()
    Clearance.objects.create(volunteer=person, kind=policy["conduct"], state="withdrawn", issued_on=clock.today())

    page = signed_in(coordinator).get(reverse("volunteer", args=[person.pk])).content.decode()

    assert f"onduct training was withdrawn on {short_day(clock.today())}" in page
