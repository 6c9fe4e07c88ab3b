"""A guardian reads, beside who may pick up, how to tell us of someone who never may."""

import uuid

import pytest
from django.urls import reverse

from families.services.registering import register
from tests.households import confirmed, family_address

pytestmark = pytest.mark.django_db
SAID = {
    "en": ("Is there someone who must never pick up your child? Call us at", "keep it private"),
    "es": ("¿Hay alguien que nunca deba recoger a su niña o niño? Llámenos al", "lo mantendremos en privado"),
}


@pytest.mark.parametrize("language", SAID)
def test_the_public_form_says_it(client, make_clinic, waiver_text, settings, language):
    page = client.get(reverse("register-clinic", args=[make_clinic().pk]), {"in": language}).content.decode()
    asked, kept = SAID[language]

    assert f"{asked} {settings.ORGANISATION_PHONE}" in page and kept in page


@pytest.mark.parametrize("language", SAID)
def test_the_familys_own_page_of_the_child_says_it(stranger, make_clinic, household, settings, now, language):
    facts = household(language=language)
    made = register(clinic=make_clinic(), facts=facts, once=uuid.uuid4(), now=now)
    guardian = confirmed(made.registration.guardian, now)
    address = family_address(guardian, route="family-child", args=[made.spots[0].child_id])
    page = stranger.get(address).content.decode()
    asked, kept = SAID[language]

    assert f"{asked} {settings.ORGANISATION_PHONE}" in page and kept in page
