"""What brings families: the poster with its code, and the switch that opens registering."""

import pytest
from django.urls import reverse

from clinics.models import Clinic, Status
from core import clock, languages
from core.refusal import Refusal
from families.services.opening import take_families

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module", autouse=True)
def spanish():
    languages.write_words()


def test_the_poster_says_it_in_both_languages_with_the_code_of_the_public_page(
    make_clinic, floor_lead, signed_in, settings
):
    clinic = make_clinic()
    text = signed_in(floor_lead).get(reverse("clinic-poster", args=[clinic.pk])).content.decode()

    for fact in ("Ages 7 to 10", "De 7 a 10 años", "It’s free.", "Es gratis.", "<svg", 'lang="es"',
                 f"{settings.SITE_URL}/register/{clinic.pk}/", settings.ORGANISATION_PHONE, clinic.center.name,
                 "09:30 to 11:30", "09:30 a 11:30"):  # fmt: skip
        assert fact in text, fact
    assert "style=" not in text and "don’t put up this" not in text


def test_a_poster_for_a_clinic_that_takes_nobody_says_so(make_clinic, coordinator, signed_in):
    clinic = make_clinic(status=Status.TENTATIVE)

    assert (
        "don’t put up this" in signed_in(coordinator).get(reverse("clinic-poster", args=[clinic.pk])).content.decode()
    )


def test_registering_is_stopped_and_opened_from_the_clinics_page(make_clinic, coordinator, signed_in, stranger):
    clinic, client = make_clinic(), signed_in(coordinator)
    page = reverse("clinic", args=[clinic.pk])
    assert "Close registration" in client.get(page).content.decode()

    client.post(reverse("clinic-families", args=[clinic.pk]), {"open": "no"})
    assert not Clinic.objects.get().takes_families and "Open registration" in client.get(page).content.decode()
    client.post(reverse("clinic-families", args=[clinic.pk]), {"open": "yes"})
    client.post(reverse("clinic-families", args=[clinic.pk]), {"open": "yes"})
    assert Clinic.objects.get().takes_families


def test_a_clinic_that_is_cancelled_or_has_begun_is_not_opened(make_clinic):
    for clinic, code in ((make_clinic(status=Status.CANCELLED), "cancelled"), (make_clinic(days=-1), "too late")):
        with pytest.raises(Refusal) as refused:
            take_families(clinic=clinic, open_it=True, now=clock.now())
        assert refused.value.codes == {code}


def test_who_may(make_clinic, floor_lead, signed_in, stranger):
    clinic = make_clinic()
    poster, switch = (reverse(name, args=[clinic.pk]) for name in ("clinic-poster", "clinic-families"))

    assert stranger.get(poster).status_code == 302 and stranger.post(switch).status_code == 302
    assert signed_in(floor_lead).post(switch, {"open": "no"}).status_code == 403
    assert Clinic.objects.get().takes_families
    assert signed_in(floor_lead).get(switch).status_code == 405
