"""Who stands in for a clinic's lead: named by the office, cleared to lead that day, and shown what the lead sees."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from core.merge import history_of
from core.refusal import Refusal
from floor.letters.stand_ins import STAND_IN, stand_in_address
from floor.models import FloorPhone, FloorStandIn
from floor.services.phones import floor_address, open_phone, phone_of
from floor.services.stand_ins import end_stand_in, mail_stand_in, name_stand_in
from outbox.models import Note
from people.models import Clearance
from people.services.merge import merge_volunteers
from tests.clock import at

pytestmark = pytest.mark.django_db


@pytest.fixture
def imara(make_volunteer):
    return make_volunteer(duties=("lead", "coach"), name="Imara Venn", email="imara@example.org")


def path(row):
    return "/floor/s/" + stand_in_address(row).split("/floor/s/")[1]


def page(clinic):
    return reverse("clinic-stand-ins", args=[clinic.pk])


def test_the_office_names_one_who_gets_a_link_of_their_own_and_sees_what_the_lead_sees(
    floor, imara, coordinator, signed_in
):
    office = signed_in(coordinator)
    assert "Imara Venn" in office.get(page(floor.clinic)).content.decode()
    assert office.post(page(floor.clinic), {"volunteer": imara.pk}).status_code == 302
    row = FloorStandIn.objects.get()
    assert (row.clinic, row.volunteer, row.named_by, row.ended_at) == (floor.clinic, imara, coordinator, None)
    assert Note.objects.get(kind=STAND_IN).to_email == "imara@example.org"
    assert "Imara Venn stands in for the lead" in " ".join(
        office.get(reverse("clinic", args=[floor.clinic.pk])).content.decode().split()
    )

    phone = Client()
    assert phone.get(path(row)).status_code == 200 and phone.post(path(row)).status_code == 302
    day = phone.post(
        reverse("floor-data", args=[floor.clinic.pk]), "{}", content_type="application/json", headers={"X-Floor": "1"}
    ).json()
    assert "peanuts" in [child["allergies"] for child in day["children"]] and day["phone_name"] == "Imara Venn"
    # Each has a link of their own, and each link one phone.
    assert Client().post(path(row)).status_code == 409
    assert Client().post("/floor/o/" + floor_address(floor.lead).split("/floor/o/")[1]).status_code == 302


def test_who_is_not_cleared_to_lead_that_day_is_refused_with_every_reason(
    floor, make_volunteer, coordinator, signed_in, now
):
    volunteer = make_volunteer(duties=("coach",), name="Bryony Fell", cleared=())
    with pytest.raises(Refusal) as refused:
        name_stand_in(clinic=floor.clinic, volunteer=volunteer, by=coordinator, now=now)
    assert refused.value.codes == {"duty not held", "standing"}
    assert "screening" in str(refused.value) and "conduct" in str(refused.value)
    volunteer.duties = ["lead"]
    volunteer.save()
    answer = signed_in(coordinator).post(page(floor.clinic), {"volunteer": volunteer.pk})
    assert answer.status_code == 422 and "isn’t cleared" in answer.content.decode()
    assert not FloorStandIn.objects.exists() and not Note.objects.filter(kind=STAND_IN).exists()


def test_a_coach_of_the_same_clinic_may_stand_in_and_its_lead_need_not(
    floor, imara, make_assignment, make_shift, coordinator, now
):
    make_assignment(make_shift(floor.clinic), imara)
    assert name_stand_in(clinic=floor.clinic, volunteer=imara, by=coordinator, now=now).volunteer == imara
    with pytest.raises(Refusal) as refused:
        name_stand_in(clinic=floor.clinic, volunteer=imara, by=coordinator, now=now)
    assert refused.value.codes == {"stands in"}
    with pytest.raises(Refusal) as refused:
        name_stand_in(clinic=floor.clinic, volunteer=floor.lead.volunteer, by=coordinator, now=now)
    assert refused.value.codes == {"leads"}


def test_nobody_stands_in_at_a_clinic_that_is_over_or_cancelled(floor, imara, coordinator, now):
    with pytest.raises(Refusal) as refused:
        name_stand_in(clinic=floor.clinic, volunteer=imara, by=coordinator, now=now + timedelta(days=2))
    assert refused.value.codes == {"over"}
    floor.clinic.status, floor.clinic.cancelled_because = "cancelled", "no heat"
    floor.clinic.save()
    with pytest.raises(Refusal) as refused:
        name_stand_in(clinic=floor.clinic, volunteer=imara, by=coordinator, now=now)
    assert refused.value.codes == {"cancelled"}


def test_whose_clearance_falls_later_no_longer_opens_it(floor, imara, coordinator, signed_in, now):
    row = name_stand_in(clinic=floor.clinic, volunteer=imara, by=coordinator, now=now)
    phone, secret = open_phone(clinic=floor.clinic, volunteer=imara, came_from="192.0.2.8", now=now)
    assert phone_of(floor.clinic.pk, secret, now) == phone
    Clearance.objects.filter(volunteer=imara).delete()
    assert phone_of(floor.clinic.pk, secret, now) is None
    assert Client().post(path(row)).status_code == 409
    assert "not cleared that day" in signed_in(coordinator).get(page(floor.clinic)).content.decode()


def test_the_office_ends_it_with_the_link_and_the_phone(floor, imara, coordinator, signed_in, now):
    row = name_stand_in(clinic=floor.clinic, volunteer=imara, by=coordinator, now=now)
    address = path(row)
    phone = Client()
    phone.post(address)
    end = reverse("clinic-stand-in-end", args=[floor.clinic.pk, row.pk])
    assert signed_in(coordinator).post(end).status_code == 302

    assert FloorPhone.objects.get(volunteer=imara).ended_at is not None
    assert phone.post(address).status_code == 410
    assert not end_stand_in(row=row, now=now)
    # They may be named again, with another link.
    again = name_stand_in(clinic=floor.clinic, volunteer=imara, by=coordinator, now=now)
    assert phone.post(path(again)).status_code == 302 and phone.post(address).status_code == 410


def test_the_link_is_mailed_again_and_not_to_who_no_longer_stands_in(floor, imara, coordinator, signed_in, now):
    row = name_stand_in(clinic=floor.clinic, volunteer=imara, by=coordinator, now=now)
    with at(now + timedelta(minutes=2)):
        signed_in(coordinator).post(reverse("clinic-stand-in-mail", args=[floor.clinic.pk, row.pk]))
    assert Note.objects.filter(kind=STAND_IN).count() == 2
    end_stand_in(row=row, now=now)
    with pytest.raises(Refusal) as refused:
        mail_stand_in(row=row, now=now)
    assert refused.value.codes == {"ended"}


def test_their_account_opens_the_floor_page_too(floor, imara, floor_lead, coordinator, signed_in, now):
    imara.email = floor_lead.email
    imara.save()
    here = reverse("floor-open-here", args=[floor.clinic.pk])
    client = signed_in(floor_lead)
    assert client.post(here).status_code == 409
    name_stand_in(clinic=floor.clinic, volunteer=imara, by=coordinator, now=now)
    assert here in client.get(reverse("clinic", args=[floor.clinic.pk])).content.decode()
    assert client.post(here).status_code == 302


def test_only_the_office_names_ends_and_mails(floor, imara, floor_lead, coordinator, signed_in, make_clinic, now):
    row = name_stand_in(clinic=floor.clinic, volunteer=imara, by=coordinator, now=now)
    client = signed_in(floor_lead)
    for name, args in (
        ("clinic-stand-ins", [floor.clinic.pk]),
        ("clinic-stand-in-end", [floor.clinic.pk, row.pk]),
        ("clinic-stand-in-mail", [floor.clinic.pk, row.pk]),
    ):
        assert client.post(reverse(name, args=args), {"volunteer": imara.pk}).status_code == 403
    other = make_clinic()
    assert signed_in(coordinator).post(reverse("clinic-stand-in-end", args=[other.pk, row.pk])).status_code == 404
    row.refresh_from_db()
    assert row.ended_at is None


def test_two_records_that_both_stand_in_become_one(floor, imara, make_volunteer, coordinator, now):
    twin = make_volunteer(duties=("lead",), name="Imara Venn")
    for one in (imara, twin):
        name_stand_in(clinic=floor.clinic, volunteer=one, by=coordinator, now=now)
    merge_volunteers(keep=imara, other=twin, now=now)

    assert FloorStandIn.objects.filter(volunteer=imara).count() == 2
    assert FloorStandIn.objects.filter(volunteer=imara, ended_at__isnull=True).count() == 1
    assert history_of(FloorStandIn)._default_manager.exclude(volunteer_id=imara.pk).count() == 0
