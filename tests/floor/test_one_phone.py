"""The emailed link opens the floor page on one phone, and each phone has a name."""

import json
from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from core import clock
from core.references import reference
from core.refusal import Refusal
from floor.models import FloorPhone
from floor.queries.conflicts import open_conflicts
from floor.queries.log import floor_state
from floor.services.phones import floor_address, leave_phone, open_phone, phone_of, release_phone
from tests.floor_days import entry, send

pytestmark = pytest.mark.django_db


def path(row):
    return "/floor/o/" + floor_address(row).split("/floor/o/")[1]


def open_phones(floor):
    return FloorPhone.objects.filter(clinic=floor.clinic, link=reference(floor.lead), ended_at__isnull=True)


def said(client, name, floor, **words):
    """What the server answers to the page of this phone."""
    address = reverse(f"floor-{name}", args=[floor.clinic.pk])
    return client.post(address, json.dumps(words), content_type="application/json", headers={"X-Floor": "1"})


def data(client, floor):
    return said(client, "data", floor)


def test_a_link_that_is_open_on_one_phone_opens_on_no_other(floor):
    first, second = Client(), Client()
    assert first.post(path(floor.lead)).status_code == 302
    refused = second.post(path(floor.lead))

    text = refused.content.decode()
    assert refused.status_code == 409 and "Oswin Tarrant’s phone" in text and "555-" in text
    assert refused.context["refusal"].codes == {"open already"}
    assert f"floor{floor.clinic.pk}" not in refused.cookies
    assert data(second, floor).status_code == 401 and data(first, floor).status_code == 200
    assert open_phones(floor).count() == 1


def test_looking_at_the_link_changes_nothing_and_says_where_it_is_open(floor):
    first, second = Client(), Client()
    assert "is open on" not in first.get(path(floor.lead)).content.decode()
    first.post(path(floor.lead))
    before = list(FloorPhone.objects.values())

    seen = second.get(path(floor.lead))
    assert seen.status_code == 200 and "is open on Oswin Tarrant’s phone" in seen.content.decode()
    assert list(FloorPhone.objects.values()) == before


def test_the_same_phone_opens_its_link_again_and_keeps_its_name(floor):
    phone = Client()
    phone.post(path(floor.lead))
    first = open_phones(floor).get()
    assert phone.post(path(floor.lead)).status_code == 302
    again = open_phones(floor).get()

    assert again.pk != first.pk and (again.called, again.number) == (first.called, first.number)
    assert data(phone, floor).json()["phone"] == again.pk
    # A page that was erased without signal says so only now: the row that it names ended already, and this one holds.
    left = said(phone, "leave", floor, phone=first.pk)
    assert left.json() == {"left": True, "open": True}


def test_erasing_the_first_phone_lets_the_link_open_on_another(floor):
    first, second = Client(), Client()
    first.post(path(floor.lead))
    said(first, "leave", floor)
    assert second.post(path(floor.lead)).status_code == 302
    assert open_phones(floor).count() == 1


def test_the_office_releases_a_phone_which_is_written_down_and_the_link_opens_on_another(floor, coordinator, signed_in):
    first, second = Client(), Client()
    first.post(path(floor.lead))
    phone = open_phones(floor).get()
    office = signed_in(coordinator)
    day = reverse("clinic-day", args=[floor.clinic.pk])
    address = reverse("floor-release", args=[floor.clinic.pk, phone.pk])
    shown = office.get(day).content.decode()
    assert address in shown and "Oswin Tarrant" in shown and "last heard from" in shown

    assert office.post(address, follow=True).status_code == 200
    phone.refresh_from_db()
    assert phone.released_by == "Perpetua Lang" and phone.ended_at is not None
    assert data(first, floor).status_code == 401 and second.post(path(floor.lead)).status_code == 302
    assert "released by Perpetua Lang" in office.get(day).content.decode()
    # Once more does nothing, and least of all to the phone that came after.
    office.post(address)
    assert open_phones(floor).count() == 1


def test_only_the_office_releases_a_phone_and_only_of_that_clinic(
    floor, make_clinic, coordinator, floor_lead, signed_in
):
    address = reverse("floor-release", args=[floor.clinic.pk, floor.phone.pk])
    assert signed_in(floor_lead).post(address).status_code == 403
    elsewhere = reverse("floor-release", args=[make_clinic().pk, floor.phone.pk])
    assert signed_in(coordinator).post(elsewhere).status_code == 404
    assert signed_in(coordinator).get(address).status_code == 405
    floor.phone.refresh_from_db()
    assert floor.phone.ended_at is None


def test_a_link_that_was_mailed_anew_is_still_one_link(floor):
    """Its counter rises when the clinic changes: the phone that is open goes on, so no second one may open."""
    Client().post(path(floor.lead))
    floor.lead.link_counter += 1
    floor.lead.save()
    assert Client().post(path(floor.lead)).status_code == 409


def test_the_leads_account_opens_it_besides_and_frees_no_link(floor, floor_lead, signed_in):
    floor.lead.volunteer.email = floor_lead.email
    floor.lead.volunteer.save()
    here = reverse("floor-open-here", args=[floor.clinic.pk])
    Client().post(path(floor.lead))
    tablet = signed_in(floor_lead)
    assert tablet.post(here).status_code == 302 and data(tablet, floor).status_code == 200
    assert tablet.post(path(floor.lead)).status_code == 409
    # On the phone that the link opened, the account's button leaves the link with it.
    phone = signed_in(floor_lead)
    open_phones(floor).update(ended_at=clock.now())
    phone.post(path(floor.lead))
    phone.post(here)
    assert open_phones(floor).count() == 1 and Client().post(path(floor.lead)).status_code == 409


def opened(floor, volunteer, now, **more):
    return open_phone(clinic=floor.clinic, volunteer=volunteer, came_from="192.0.2.8", now=now, **more)


def test_phones_are_named_by_person_and_number(floor, make_assignment, make_shift, make_volunteer, now):
    second, _ = opened(floor, floor.lead.volunteer, now)
    other = make_volunteer(duties=("lead",), name="Oswin Pell")
    make_assignment(make_shift(floor.clinic, "lead"), other)
    theirs, _ = opened(floor, other, now)
    leave_phone(phone=second, now=now)
    third, _ = opened(floor, floor.lead.volunteer, now)

    assert [(one.called, one.number) for one in (floor.phone, second, theirs, third)] == [
        ("Oswin", 1), ("Oswin", 2), ("Oswin Pell", 1), ("Oswin", 3),
    ]  # fmt: skip


def test_a_conflict_says_on_which_phone_each_entry_was_made(floor, now):
    second, _ = opened(floor, floor.lead.volunteer, now)
    wren = f"c{floor.children[0].pk}"
    out, later = now + timedelta(minutes=9), now + timedelta(minutes=10)
    send(floor, entry(1, "in", now, who=wren), entry(2, "out", out, who=wren, pickup="Uncle Bram"), now=later)
    send(floor, entry(1, "out", out, who=wren, pickup="Orla"), phone=second, now=later)

    (one,) = open_conflicts(floor_state(floor.clinic))
    assert sorted(version.by for version in one.versions) == ["entered on Oswin’s phone", "entered on Oswin’s phone 2"]


def test_the_page_knows_which_phone_it_is(floor, now):
    _, secret = opened(floor, floor.lead.volunteer, now)
    client = Client()
    for held, name in ((floor.secret, "Oswin Tarrant"), (secret, "Oswin Tarrant, phone 2")):
        client.cookies[f"floor{floor.clinic.pk}"] = held
        assert data(client, floor).json()["phone_name"] == name


def test_a_secret_of_another_clinic_or_of_nobody_ends_no_phone(floor, now):
    opened(floor, floor.lead.volunteer, now, has="made up")
    assert phone_of(floor.clinic.pk, floor.secret, now) == floor.phone


def test_a_refused_opening_ends_nothing(floor, make_volunteer, now):
    link = reference(floor.lead)
    opened(floor, floor.lead.volunteer, now, link=link)
    with pytest.raises(Refusal) as refused:
        opened(floor, floor.lead.volunteer, now, link=link, has=floor.secret)
    assert refused.value.codes == {"open already"}
    assert phone_of(floor.clinic.pk, floor.secret, now) == floor.phone


def test_a_released_phone_is_released_once(floor, coordinator, admin, now):
    assert release_phone(phone=floor.phone, by=coordinator, now=now)
    assert not release_phone(phone=floor.phone, by=admin, now=now + timedelta(minutes=1))
    floor.phone.refresh_from_db()
    assert (floor.phone.released_by, floor.phone.ended_at) == ("Perpetua Lang", now)
