"""On the family's own page, only the text that was read there is signed."""

import uuid
from datetime import timedelta

import pytest

from families.models import Child, Spot, Waiver, WaiverText
from families.services.registering import register
from families.services.waiver_texts import TextFacts, publish_version, write_draft
from tests.households import confirmed, eight, family_address, say

pytestmark = pytest.mark.django_db


@pytest.fixture
def family(make_clinic, household, now):
    """Perdita has signed nothing yet for Wrenna."""
    clinic = make_clinic()
    facts = household(("Wrenna Thornapple", eight(clinic)), email="perdita@example.org", signed="", text=None)
    return confirmed(register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=now).registration.guardian, now)


def publish_another(now):
    facts = TextFacts(
        months=12, season_ends=None, signs_anew=False, title_en="New words", body_en="Quite another risk."
    )
    publish_version(version=write_draft(facts=facts), today=now.date(), now=now)


def on_page(page):
    """The number of the text that a page shows, as its form sends it."""
    return page.content.decode().split('name="text" value="')[1].split('"')[0]


def test_a_text_that_came_into_force_while_the_page_was_open_is_not_signed_unread(stranger, family, now):
    child = Child.objects.get()
    read = on_page(stranger.get(family_address(family, route="family-child", args=[child.pk])))
    publish_another(now)
    answer = say(stranger, family, "child-sign", child, signed="Perdita Ash", text=read)

    page = answer.content.decode()
    assert answer.status_code == 422 and not Waiver.objects.exists()
    assert "The waiver changed after you opened this page" in page
    assert "Quite another risk." in page and 'value="Perdita Ash"' in page
    say(stranger, family, "child-sign", child, signed="Perdita Ash", text=on_page(answer))
    assert Waiver.objects.get().text == WaiverText.objects.get(title="New words")


def test_the_same_holds_where_a_spot_is_asked_for_at_another_clinic(stranger, family, make_clinic, now):
    child, other = Child.objects.get(), make_clinic(days=17)
    where = family_address(family, route="family-clinic", args=[other.pk])
    read = on_page(stranger.get(where))
    publish_another(now)
    answer = stranger.post(where, {"child": child.pk, "signed": "Perdita Ash", "text": read})

    assert answer.status_code == 409 and "The waiver changed" in answer.content.decode()
    assert not Waiver.objects.exists() and not Spot.objects.filter(clinic=other).exists()
    stranger.post(where, {"child": child.pk, "signed": "Perdita Ash", "text": on_page(answer)})
    assert Waiver.objects.get().text.title == "New words" and Spot.objects.filter(clinic=other).exists()


def test_the_same_holds_where_a_child_is_added(stranger, family, now):
    where = family_address(family, route="family-child-new")
    typed = {
        "name": "Osric Thornapple", "birth_date": str(now.date() - timedelta(days=3000)), "experience": "new",
        "allergies_answer": "none",
        "emergency_name": "Aunt Sorrel", "emergency_phone": "555-0123", "signed": "Perdita Ash",
        "text": on_page(stranger.get(where)),
    }  # fmt: skip
    publish_another(now)
    answer = stranger.post(where, typed)

    assert answer.status_code == 422 and Child.objects.count() == 1
    assert "The waiver changed" in answer.content.decode() and "Osric Thornapple" in answer.content.decode()
    stranger.post(where, typed | {"signed": ""})
    assert Child.objects.count() == 2 and not Waiver.objects.exists(), "who does not sign yet is not asked to read"
