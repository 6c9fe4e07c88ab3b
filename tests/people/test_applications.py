"""Joining: from the public page to a volunteer, with duplicates found, questions asked, and nothing lost in a merge."""

from datetime import UTC, time, timedelta

import pytest
from django.urls import reverse

from clinics.models import Clinic
from core import clock
from core.refusal import Refusal
from core.rules.local_time import localize
from outbox.models import Note
from outbox.services.sending import send_due
from people.letters.accounts import APPLY_CONFIRM
from people.models import Application, Clearance, Volunteer
from people.queries.duplicates import likely_duplicates
from people.services import applications as services
from people.services.merge import merge_volunteers
from shifts.models import Assignment


def typed(**more):
    return {
        "name": "Imara Venn",
        "email": "imara@example.org",
        "phone": "555-0121",
        "duties": ["coach"],
        "languages": "English, Spanish",
        "home_area": "Mill Green",
        "first_reference": "Maude Ferriby, 555-0111",
        "second_reference": "Ambrose Tully, 555-0112",
    } | more


@pytest.fixture
def waiting(stranger, db):
    stranger.post(reverse("join"), typed())
    row = Application.objects.get()
    services.confirm_address(application=row)
    row.refresh_from_db()
    return row


def path_in(mail, part):
    return next(word for word in mail.body.split() if f"/{part}/" in word).split("testserver", 1)[1]


def test_the_address_is_confirmed_by_a_press_and_not_by_opening(stranger, db, mailoutbox):
    stranger.post(reverse("join"), typed())
    send_due()
    link = path_in(mailoutbox[0], "j")

    stranger.get(link)
    assert Application.objects.get().state == "unconfirmed"
    stranger.post(link)

    assert Application.objects.get().state == "new"


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"duties": []}, "Choose at least one"),
        ({"email": "no"}, "valid email address"),
        ({"phone": ""}, "This field is required"),
        ({"second_reference": "maude ferriby, 555-0111"}, "Enter two different people"),
        ({"under_18": "on", "duties": ["helper"]}, "parent or guardian we can reach"),
        ({"under_18": "on", "guardian_name": "A", "guardian_contact": "B"}, "choose helper only"),
        ({"words": "x" * 2000}, "at most 600 characters"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_typed_is_lost(stranger, db, change, sentence):
    answer = stranger.post(reverse("join"), typed(home_area="Kept as typed") | change)

    text = answer.content.decode()
    assert answer.status_code == 422 and sentence in text and "Kept as typed" in text
    assert not Application.objects.exists()


def test_a_program_that_fills_in_everything_is_thanked_and_not_kept(stranger, db):
    assert stranger.post(reverse("join"), typed(website="http://example.org")).status_code == 302
    assert not Application.objects.exists()


@pytest.mark.parametrize("hour", [9, 15, 20, 23])
def test_one_address_is_not_flooded_at_any_hour_and_may_ask_again_a_day_later(stranger, db, move_clock, hour):
    evening = localize(clock.today() + timedelta(days=1), time(hour, 40), clock.home_zone()).astimezone(UTC)
    move_clock(evening)
    for _ in range(services.MOST_A_DAY):
        stranger.post(reverse("join"), typed())

    answer = stranger.post(reverse("join"), typed())

    assert answer.status_code == 422 and Note.objects.count() == services.MOST_A_DAY
    move_clock(evening + timedelta(days=1, minutes=1))
    assert stranger.post(reverse("join"), typed()).status_code == 302


def test_accepted_is_a_volunteer_who_can_be_asked_only_once_cleared(
    waiting, admin, signed_in, coordinator, policy, make_shift, mailoutbox
):
    client = signed_in(admin)
    client.post(reverse("application", args=[waiting.pk]), {"act": "accept"})
    person = Volunteer.objects.get()
    shift = make_shift()
    who = reverse("shift-who", args=[shift.pk])
    assert "No screening check on file" in signed_in(coordinator).get(who).content.decode()

    for code in ("screening", "conduct"):
        client.post(
            reverse("clearance-new", args=[person.pk]),
            {"kind": policy[code].pk, "state": "clear", "issued_on": clock.today().isoformat()},
        )

    assert "Ask Imara" in signed_in(coordinator).get(who).content.decode()
    send_due()
    assert mailoutbox[-1].subject.startswith("Welcome to") and "/v/" in mailoutbox[-1].body


def test_a_question_and_its_answer(waiting, admin, signed_in, stranger, mailoutbox):
    client = signed_in(admin)
    page, ask = (reverse(name, args=[waiting.pk]) for name in ("application", "application-question"))
    assert client.post(ask, {"question": " "}).status_code == 422
    assert client.post(ask, {"question": "x" * 400}).status_code == 422
    client.post(ask, {"question": "Have you coached before?"})
    waiting.refresh_from_db()
    assert waiting.state == "more asked"
    send_due()
    link = path_in(mailoutbox[-1], "j")
    assert "Have you coached before?" in stranger.get(link).content.decode()
    assert stranger.post(link, {"words": ""}).status_code == 422

    stranger.post(link, {"words": "Two seasons"})

    waiting.refresh_from_db()
    assert waiting.state == "new" and "Two seasons" in client.get(page).content.decode()


def test_a_question_and_a_decision_are_two_acts(waiting, admin, signed_in):
    client = signed_in(admin)
    page, ask = (reverse(name, args=[waiting.pk]) for name in ("application", "application-question"))

    assert client.get(ask)["Location"] == page
    assert client.post(page, {"act": "more", "question": "Which days?"}).status_code == 422
    assert client.post(ask, {"act": "accept"}).status_code == 422
    waiting.refresh_from_db()
    assert waiting.state == "new" and not Volunteer.objects.exists()
    client.post(page, {"act": "accept"})
    assert client.post(ask, {"question": "Too late?"}).status_code == 422
    waiting.refresh_from_db()
    assert waiting.state == "accepted" and waiting.question == ""


def test_declining_takes_a_reason_and_tells_it(waiting, admin, signed_in, mailoutbox):
    client = signed_in(admin)
    page = reverse("application", args=[waiting.pk])
    assert client.post(page, {"act": "decline"}).status_code == 422
    client.post(page, {"act": "decline", "reason": "We have no clinic near you yet."})
    send_due()

    assert "no clinic near you yet" in mailoutbox[-1].body and not Volunteer.objects.exists()
    assert client.post(page, {"act": "accept"}).status_code == 422


def test_twins_are_found_by_mail_telephone_and_a_close_name(make_volunteer):
    mail = make_volunteer("Somebody Else", email="IMARA@example.org".lower())
    phone = make_volunteer("Another One", phone="(555) 01-21")
    close = make_volunteer("Imarra Venn")
    make_volunteer("Tobiah Quill", phone="555-0199")

    found = {
        t.volunteer: t.why for t in likely_duplicates(name="Imara Venn", email="Imara@example.org", phone="555 0121")
    }

    assert found == {
        mail: ["email"],
        phone: ["phone"],
        close: ["name"],
    }


def test_an_application_of_somebody_who_is_here_goes_into_their_record(waiting, admin, signed_in, make_volunteer):
    person = make_volunteer("Imara Venn", email="imara@example.org", duties=("door",))
    client = signed_in(admin)
    page = reverse("application", args=[waiting.pk])
    assert f'name="into" value="{person.pk}"' in client.get(page).content.decode()
    refused = client.post(page, {"act": "accept"})
    assert refused.status_code == 422 and "already on file" in refused.content.decode()

    client.post(page, {"act": "accept", "into": person.pk})

    person.refresh_from_db()
    assert person.duties == ["door", "coach"] and Volunteer.objects.count() == 1


def test_a_merge_loses_nothing(admin, signed_in, make_volunteer, make_assignment, make_shift, make_clinic):
    keep = make_volunteer("Imara Venn", phone="")
    other = make_volunteer("Imara Ven", phone="555-0121", duties=("door", "coach"))
    make_assignment(make_shift(make_clinic(days=5)), keep)
    make_assignment(make_shift(make_clinic(days=8)), other)
    clearances = Clearance.objects.count()
    client = signed_in(admin)
    assert "Similar name" in client.get(reverse("volunteer-duplicates", args=[keep.pk])).content.decode()

    client.post(reverse("volunteer-merge", args=[keep.pk]), {"other": other.pk})

    keep.refresh_from_db()
    assert Volunteer.objects.count() == 1 and keep.phone == "555-0121" and set(keep.duties) == {"coach", "door"}
    assert Assignment.objects.filter(volunteer=keep).count() == 2
    assert Clearance.objects.filter(volunteer=keep).count() == clearances


def test_two_people_at_two_places_at_once_are_not_one(admin, make_volunteer, make_assignment, make_shift, make_clinic):
    keep, other = make_volunteer(), make_volunteer()
    make_assignment(make_shift(make_clinic(days=5)), keep)
    make_assignment(make_shift(make_clinic(days=5)), other)

    with pytest.raises(Refusal) as refused:
        merge_volunteers(keep=keep, other=other, now=clock.now())

    assert refused.value.codes == {"two places"}
    assert Volunteer.objects.count() == 2 and Clinic.objects.count() == 2


def test_ahead_says_that_somebody_would_like_to_help(waiting, coordinator, signed_in):
    assert reverse("applications") in signed_in(coordinator).get(reverse("ahead")).content.decode()


def test_who_may(waiting, floor_lead, coordinator, stranger, signed_in, make_volunteer):
    assert stranger.get(reverse("join")).status_code == 200
    assert stranger.get(reverse("application", args=[waiting.pk])).status_code == 302
    assert signed_in(floor_lead).get(reverse("applications")).status_code == 403
    assert signed_in(coordinator).get(reverse("applications")).status_code == 200
    assert signed_in(coordinator).post(reverse("volunteer-merge", args=[make_volunteer().pk])).status_code == 403
    assert Note.objects.filter(kind=APPLY_CONFIRM).count() == 1
