"""What guardians sign: drafts, publishing, and that a published text stays."""

import pytest
from django.db import ProgrammingError, transaction
from django.urls import reverse

from core import clock
from families.models import WaiverText
from families.queries.waiver_texts import current_text
from families.queries.waivers import least_version

pytestmark = pytest.mark.django_db
WORDS = {
    "title_en": "Taking part", "body_en": "We take part.", "title_es": "Participar", "body_es": "Participamos.",
    "months": "6", "season_ends": "", "signs_anew": "on",
}  # fmt: skip


def test_a_draft_is_signed_by_nobody_until_it_is_published(admin, signed_in, waiver_text):
    client = signed_in(admin)
    client.post(reverse("waiver-new"), WORDS)
    assert current_text("en") == waiver_text and least_version() == 0

    client.post(reverse("waiver-publish", args=[2]))
    newest = current_text("es")
    assert newest is not None and (newest.version, newest.language, newest.months) == (2, "es", 6)
    assert least_version() == 2


def test_a_published_version_is_changed_neither_by_the_page_nor_in_the_database(admin, signed_in, waiver_text):
    answer = signed_in(admin).post(reverse("waiver-change", args=[1]), WORDS)
    assert answer.status_code == 422 and "Write a new draft instead" in answer.content.decode()
    with pytest.raises(ProgrammingError, match="Cannot update"), transaction.atomic():
        WaiverText.objects.update(body="Something else")
    waiver_text.refresh_from_db()
    assert waiver_text.body == "We take part."


def test_half_a_spanish_text_is_refused_and_what_was_typed_stays(admin, signed_in):
    answer = signed_in(admin).post(reverse("waiver-new"), WORDS | {"body_es": ""})

    assert answer.status_code == 422 and "We take part." in answer.content.decode()
    assert not WaiverText.objects.exists()


def test_while_the_example_is_signed_it_is_said_aloud_here_and_on_ahead(admin, signed_in):
    WaiverText.objects.create(
        version=1, language="en", title="Example", body="Example.", placeholder=True, published_at=clock.now()
    )
    client, loud = signed_in(admin), "Replace it with one from a licensed lawyer"
    assert loud in client.get(reverse("waivers")).content.decode()
    assert loud in client.get(reverse("ahead")).content.decode()

    # Saving the example again under a new number does not make it a lawyer's.
    client.post(reverse("waiver-new"), {"title_en": "Example", "body_en": "Example.", "months": "12"})
    client.post(reverse("waiver-publish", args=[2]))
    assert loud in client.get(reverse("waivers")).content.decode()

    client.post(reverse("waiver-new"), WORDS)
    client.post(reverse("waiver-publish", args=[3]))
    for page in ("waivers", "ahead"):
        assert loud not in client.get(reverse(page)).content.decode()


def test_ahead_leads_an_admin_to_the_texts_and_tells_a_coordinator_who_can(admin, coordinator, signed_in):
    WaiverText.objects.create(
        version=1, language="en", title="Example", body="Example.", placeholder=True, published_at=clock.now()
    )
    button = f'href="{reverse("waivers")}" aria-describedby'
    first = " ".join(signed_in(admin).get(reverse("ahead")).content.decode().split())
    assert button in first and "Add your waiver" in first
    other = " ".join(signed_in(coordinator).get(reverse("ahead")).content.decode().split())
    assert button not in other and "Guardians are signing a sample waiver" in other
    assert "Ask an admin to do this." in other


def test_an_older_draft_can_not_be_put_in_force_over_a_newer_version(admin, signed_in):
    WaiverText.objects.create(version=1, language="en", title="Old", body="Old.")
    WaiverText.objects.create(version=2, language="en", title="New", body="New.", published_at=clock.now())
    answer = signed_in(admin).post(reverse("waiver-publish", args=[1]), follow=True)

    assert "newer version is already published" in answer.content.decode()
    assert WaiverText.objects.get(version=1).published_at is None


@pytest.mark.parametrize("name", ["waivers", "waiver-new"])
def test_only_an_admin_keeps_the_texts(coordinator, floor_lead, stranger, signed_in, name):
    page = reverse(name)
    assert stranger.get(page).status_code == 302
    assert [signed_in(one).get(page).status_code for one in (coordinator, floor_lead)] == [403, 403]


def test_publishing_is_an_admins_alone(coordinator, stranger, signed_in):
    WaiverText.objects.create(version=1, language="en", title="Old", body="Old.")
    page = reverse("waiver-publish", args=[1])
    assert (stranger.post(page).status_code, signed_in(coordinator).post(page).status_code) == (302, 403)
    assert WaiverText.objects.get().published_at is None
