"""No clinic is confirmed while the center's safety sheet has an empty line, and the page says which."""

from django.urls import reverse

from clinics.models import Center, Clinic, Status
from core import clock
from scheduling.models import Answer, Booking
from scheduling.services.bookings import answer_booking
from tests.conftest import SAFE


def agreed(clinic):
    booking = Booking.objects.get(clinic=clinic)
    return answer_booking(booking=booking, answer=Answer.AGREED, now=clock.now())


def test_a_gap_keeps_the_clinic_tentative_and_filling_it_confirms(coordinator, signed_in, make_clinic):
    clinic = make_clinic(status=Status.TENTATIVE)
    center = clinic.center
    Center.objects.filter(pk=center.pk).update(hospital="", plan_seen_on=None)
    booking = agreed(clinic)
    assert booking.status == Status.CONFIRMED and Clinic.objects.get(pk=clinic.pk).status == Status.TENTATIVE
    client = signed_in(coordinator)
    page = client.get(reverse("clinic", args=[clinic.pk])).content.decode()
    assert "safety sheet is missing: nearest hospital, emergency plan reviewed on" in page
    assert "safety sheet isn’t complete" in client.get(reverse("ahead")).content.decode()

    center.refresh_from_db()
    names = ("name", "time_zone", "address", "contact_name", "contact_email")
    typed = {name: getattr(center, name) for name in names} | SAFE | {"active": "on"}
    page = client.post(reverse("center-change", args=[center.pk]), typed, follow=True).content.decode()

    assert "1 clinic is confirmed because the safety sheet is complete" in page
    assert Clinic.objects.get(pk=clinic.pk).status == Status.CONFIRMED


def test_a_whole_sheet_confirms_with_the_centers_yes(make_clinic):
    clinic = make_clinic(status=Status.TENTATIVE)
    agreed(clinic)

    assert Clinic.objects.get(pk=clinic.pk).status == Status.CONFIRMED


def test_filling_the_sheet_confirms_nothing_that_the_center_has_not_agreed_to(coordinator, signed_in, make_clinic):
    clinic = make_clinic(status=Status.TENTATIVE)
    center = clinic.center
    names = ("name", "time_zone", "address", "contact_name", "contact_email")
    typed = {name: getattr(center, name) for name in names} | SAFE | {"active": "on"}

    signed_in(coordinator).post(reverse("center-change", args=[center.pk]), typed)

    assert Clinic.objects.get(pk=clinic.pk).status == Status.TENTATIVE


def test_a_plan_seen_on_a_day_to_come_is_refused(coordinator, signed_in, make_center):
    center = make_center()
    typed = {name: getattr(center, name) for name in ("name", "time_zone", "address", "contact_name", "contact_email")}

    answer = signed_in(coordinator).post(
        reverse("center-change", args=[center.pk]), typed | SAFE | {"plan_seen_on": "2099-01-01"}
    )

    assert answer.status_code == 422 and "in the future" in answer.content.decode()
