"""The family's own page: what it shows, what it changes, and whose it is."""

import uuid
from datetime import timedelta

import pytest
from django.urls import reverse

from core import clock, links
from families.letters.families import FAMILY_ADDRESS_CHANGED, FAMILY_LINK, SPOT_OFFER, SPOTS
from families.letters.family_requests import FAMILY_REQUEST
from families.models import (
    Child,
    FamilyRequest,
    Guardian,
    GuardianAddress,
    Guardianship,
    PhotoAnswer,
    PickupPerson,
    Spot,
    SpotState,
    Waiver,
    WaiverText,
)
from families.services.registering import register
from families.services.spots import end_spot
from outbox.models import Note, NoteState
from tests.households import confirmed, eight, family_address, say, spot_address

pytestmark = pytest.mark.django_db


@pytest.fixture
def family(make_clinic, household, now):
    """Perdita Ash with Wrenna, who has a spot at a clinic in ten days."""

    def inner(clinic=None, confirm=True, **more):
        clinic = clinic or make_clinic()
        facts = household(
            ("Wrenna Thornapple", eight(clinic)),
            **({"guardian_name": "Perdita Ash", "email": "perdita@example.org"} | more),
        )
        guardian = register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=now).registration.guardian
        return confirmed(guardian, now) if confirm else guardian

    return inner


@pytest.fixture
def two_guardians(family, now):
    """Perdita and Rowan, who both answer for Wrenna and know nothing of each other."""
    perdita = family()
    child = Child.objects.get()
    rowan = Guardian.objects.create(
        name="Rowan Thornapple", email="rowan@example.org", phone="555-0155", registered_at=now, confirmed_at=now
    )
    Guardianship.objects.create(guardian=rowan, child=child, emergency_name="Old Bess", emergency_phone="555-0177")
    PickupPerson.objects.create(child=child, name="Cousin Fenwick", named_by=rowan, recorded_at=now)
    return perdita, rowan, child


def test_the_first_opening_asks_who_it_is_and_changes_and_shows_nothing(stranger, family):
    guardian = family(confirm=False)
    page = stranger.get(family_address(guardian)).content.decode()

    assert "Is this you?" in page and "Wrenna" not in page and "Uncle Bram" not in page
    assert Guardian.objects.get().confirmed_at is None


def test_a_press_confirms_the_address(stranger, family):
    guardian = family(confirm=False)
    page = stranger.post(family_address(guardian, route="family-confirm"), follow=True).content.decode()

    assert "Hello Perdita." in page and "Wrenna" in page and "has a spot" in page


def test_an_unconfirmed_guardian_reaches_no_page_of_a_child(stranger, family):
    guardian = family(confirm=False)
    child = Child.objects.get()
    answer = say(stranger, guardian, "child-care", child)

    assert "Wrenna" not in answer.content.decode()
    say(stranger, guardian, "child-photos", child, allowed="yes")
    assert PhotoAnswer.objects.filter(allowed=True).count() == 0


def test_who_is_known_already_goes_on_to_the_page_they_had(stranger, family, make_clinic):
    known = family()
    again = family(make_clinic(days=17), confirm=False)
    answer = stranger.post(family_address(again, route="family-confirm"), follow=True)

    assert Guardian.objects.get() == known and Child.objects.count() == 1
    assert "Hello Perdita." in answer.content.decode()
    assert answer.content.decode().count("has a spot") == 2


@pytest.mark.parametrize("route", ["family-page", "family-child-new", "family-child", "family-clinic", "family-signed"])
def test_a_stranger_an_old_link_and_a_revoked_one_see_nothing(stranger, family, route):
    guardian = family()
    numbers = {
        "family-child": [Child.objects.get().pk],
        "family-clinic": [Spot.objects.get().clinic_id],
        "family-signed": [Waiver.objects.get().pk],
    }.get(route, [])
    assert stranger.get(family_address(guardian, route=route, args=numbers)).status_code == 200
    made_up = stranger.get(reverse(route, args=["made-up", *numbers]))
    old = stranger.get(family_address(guardian, days=-1, route=route, args=numbers))
    link = family_address(guardian, route=route, args=numbers)
    Guardian.objects.update(link_counter=guardian.link_counter + 1)
    revoked = stranger.get(link)

    assert [answer.status_code for answer in (made_up, old, revoked)] == [404, 410, 410]
    assert all("Wrenna" not in answer.content.decode() for answer in (made_up, old, revoked))


def test_a_link_made_for_another_question_opens_no_family_page(stranger, family):
    guardian = family()
    token = links.make("spot", subject=guardian.pk, counter=0, expires_at=clock.now() + timedelta(days=1))

    assert stranger.get(reverse("family-page", args=[token])).status_code == 404


def test_a_forgotten_guardians_link_opens_nothing(stranger, family, now):
    guardian = family()
    Guardian.objects.update(forgotten_at=now)

    assert stranger.get(family_address(guardian)).status_code == 410


def test_looking_changes_nothing(stranger, family, make_clinic):
    guardian = family()
    make_clinic(days=20)
    child, before = Child.objects.get(), Note.objects.count()
    for where in (
        family_address(guardian),
        family_address(guardian, route="family-child", args=[child.pk]),
        family_address(guardian, route="family-spot-give-up", args=[Spot.objects.get().pk]),
    ):
        stranger.get(where)

    assert Spot.objects.get().state == SpotState.HELD and Note.objects.count() == before


def test_the_page_speaks_spanish_once_that_is_chosen_and_keeps_it(stranger, family):
    guardian = family()
    answer = stranger.post(family_address(guardian, route="family-language"), {"language": "es"}, follow=True)

    assert "Próximos encuentros" in answer.content.decode() and answer.headers["Content-Language"] == "es"
    assert Guardian.objects.get().language == "es"
    assert '<html lang="es">' in stranger.get(family_address(guardian)).content.decode()


def test_giving_a_spot_up_offers_it_to_who_waits(stranger, family, make_clinic, household, now):
    clinic = make_clinic(children=1)
    guardian = family(clinic)
    waiting = register(clinic=clinic, facts=household(), once=uuid.uuid4(), now=now).spots[0]
    say(stranger, guardian, "spot-give-up", Spot.objects.get(guardian=guardian))

    waiting.refresh_from_db()
    assert waiting.answer_by is not None
    assert Note.objects.filter(kind=SPOT_OFFER).count() == 1


def test_nobody_gives_up_or_answers_for_a_spot_of_another_family(stranger, family, make_clinic, household, now):
    guardian = family()
    other = register(clinic=make_clinic(), facts=household(), once=uuid.uuid4(), now=now).spots[0]
    for action in ("spot-give-up", "spot-yes", "spot-no"):
        assert say(stranger, guardian, action, other).status_code == 404
    for number in ("x", "9" * 40):
        assert stranger.post(f"{family_address(guardian)}spots/{number}/give-up/").status_code == 404
    other.refresh_from_db()
    assert other.state == SpotState.HELD


def test_the_row_says_which_number_waits(stranger, make_clinic, family, household, now):
    clinic = make_clinic(children=1)
    for _ in range(2):
        register(clinic=clinic, facts=household(), once=uuid.uuid4(), now=now)
    guardian = family(clinic)

    assert "number 2 on the waiting list" in stranger.get(family_address(guardian)).content.decode()


@pytest.fixture
def offered(make_clinic, family, household, now):
    """A spot that came free for Wrenna."""
    clinic = make_clinic(children=1)
    first = register(clinic=clinic, facts=household(), once=uuid.uuid4(), now=now).spots[0]
    family(clinic)
    end_spot(spot=first, because="ill", now=now)
    return Spot.objects.get(child__name="Wrenna Thornapple")


def test_opening_an_offer_answers_nothing_and_yes_takes_it(stranger, offered):
    page = stranger.get(spot_address(offered)).content.decode()
    assert "A spot opened up for Wrenna" in page
    assert Spot.objects.get(pk=offered.pk).answer_by is not None

    page = stranger.post(spot_address(offered), {"answer": "yes"}, follow=True).content.decode()
    assert "Wrenna has a spot." in page
    assert Spot.objects.get(pk=offered.pk).answer_by is None
    stranger.post(spot_address(offered), {"answer": "yes"})
    assert Note.objects.filter(kind=SPOTS, key__contains="yes to spot").count() == 1


def test_no_to_an_offer_ends_it_and_its_link(stranger, offered):
    link = spot_address(offered)
    assert "Another child can have the spot" in stranger.post(link, {"answer": "no"}).content.decode()
    assert stranger.get(link).status_code == 410
    assert Spot.objects.get(pk=offered.pk).state == SpotState.GIVEN_UP


def test_a_made_up_answer_answers_nothing(stranger, offered):
    stranger.post(spot_address(offered), {"answer": "maybe"})
    assert Spot.objects.get(pk=offered.pk).answer_by is not None


def test_a_spot_link_of_a_stranger_is_refused(stranger):
    assert stranger.get(reverse("spot-answer", args=["made-up"])).status_code == 404


def test_another_day_takes_one_press_while_the_waiver_is_current(stranger, family, make_clinic):
    guardian, other = family(), make_clinic(days=17)
    page = stranger.get(family_address(guardian)).content.decode()
    assert "Register Wrenna" in page
    stranger.post(family_address(guardian, route="family-clinic", args=[other.pk]), {"child": Child.objects.get().pk})

    assert Spot.objects.get(clinic=other).state == SpotState.HELD
    assert Note.objects.about(other).filter(kind=SPOTS).count() == 1


def test_without_a_waiver_on_that_day_the_same_page_takes_the_signature(stranger, family, make_clinic):
    guardian, other = family(signed=""), make_clinic(days=17)
    where = family_address(guardian, route="family-clinic", args=[other.pk])
    child = Child.objects.get()
    shown = stranger.post(where, {"child": child.pk})
    assert "We take part." in shown.content.decode() and not Spot.objects.filter(clinic=other).exists()
    assert stranger.post(where, {"child": child.pk, "signed": "  "}).status_code == 422
    stranger.post(where, {"child": child.pk, "signed": "Perdita Ash", "text": WaiverText.objects.get().pk})

    assert Spot.objects.get(clinic=other).state == SpotState.HELD
    assert Waiver.objects.get().came_from == "127.0.0.1"


def test_registering_nobody_is_answered_with_a_sentence(stranger, family, make_clinic):
    guardian, other = family(), make_clinic(days=17)
    answer = stranger.post(family_address(guardian, route="family-clinic", args=[other.pk]))

    assert answer.status_code == 422 and "Choose at least one child." in answer.content.decode()


def test_care_notes_are_shown_after_a_press_and_replaced(stranger, family):
    guardian, child = family(), Child.objects.get()
    child.allergies = "hazelnuts"
    child.save()
    where = family_address(guardian, route="family-child", args=[child.pk])
    assert "hazelnuts" not in stranger.get(where).content.decode()
    assert "hazelnuts" in say(stranger, guardian, "child-care", child).content.decode()

    say(
        stranger, guardian, "child-care-write", child, allergies_answer="none", allergies="", care_notes="Wears glasses"
    )
    child.refresh_from_db()
    assert (child.allergies, child.care_notes) == ("", "Wears glasses")


def test_a_child_is_changed_picked_up_photographed_and_signed_for(stranger, family, now):
    guardian, child = family(), Child.objects.get()
    born = child.birth_date.isoformat()
    facts = {"name": "Wrenna Ash", "birth_date": born, "experience": "team", "school_year": "3"}
    say(stranger, guardian, "child-change", child, **facts)
    say(stranger, guardian, "child-emergency", child, emergency_name="Aunt Tansy", emergency_phone="555-0166")
    say(stranger, guardian, "pickup-person-new", child, name="Neighbour Hob", phone="", relation="")
    say(stranger, guardian, "pickup-person-end", child, PickupPerson.objects.get(name="Uncle Bram"))
    say(stranger, guardian, "child-photos", child, allowed="yes")
    say(stranger, guardian, "waiver-withdraw", child, Waiver.objects.get())
    say(stranger, guardian, "child-sign", child, signed="Perdita Ash", text=WaiverText.objects.get().pk)

    child.refresh_from_db()
    assert (child.name, child.experience, child.school_year) == ("Wrenna Ash", "team", "3")
    assert Guardianship.objects.get().emergency_phone == "555-0166"
    assert [row.name for row in PickupPerson.objects.in_force()] == ["Neighbour Hob"]
    assert PhotoAnswer.objects.filter(guardian=guardian).latest("pk").allowed
    assert [waiver.withdrawn_at is None for waiver in Waiver.objects.order_by("pk")] == [False, True]


def test_a_date_of_birth_that_a_spot_depends_on_is_for_the_telephone(stranger, family):
    guardian, child = family(), Child.objects.get()
    answer = say(stranger, guardian, "child-change", child, name="W", birth_date="2014-02-03", experience="new")

    assert answer.status_code == 422 and "Call us at" in answer.content.decode()
    assert 'value="2014-02-03"' in answer.content.decode()
    assert Child.objects.get().birth_date == child.birth_date


def test_a_child_is_added_once_however_often_it_is_sent(stranger, family):
    guardian = family()
    sent = {
        "name": "Linnet Ash",
        "birth_date": "2018-03-04",
        "allergies_answer": "none",
        "experience": "new",
        "emergency_name": "Aunt Tansy",
        "emergency_phone": "555-0166",
        "signed": "Perdita Ash",
        "text": WaiverText.objects.get().pk,
    }
    for _ in range(2):
        stranger.post(family_address(guardian, route="family-child-new"), sent)
    late = stranger.post(family_address(guardian, route="family-child-new"), sent | {"birth_date": "1990-01-01"})

    linnet = Child.objects.get(name="Linnet Ash")
    assert linnet.waivers.count() == 1 and linnet.guardianships.get().guardian == guardian
    assert late.status_code == 422 and "ages 18 and under" in late.content.decode()


def test_what_was_signed_is_shown_whole_with_its_fingerprint(stranger, family):
    guardian, waiver = family(), Waiver.objects.get()
    page = stranger.get(family_address(guardian, route="family-signed", args=[waiver.pk])).content.decode()

    assert "We take part." in page and waiver.text_hash in page and "Guardian 001" in page


def test_two_guardians_of_one_child_each_see_only_what_is_theirs(stranger, two_guardians, now):
    perdita, rowan, child = two_guardians
    PickupPerson.objects.create(child=child, name="Grim Stranger", must_not=True, seen="court order", recorded_at=now)
    hers = "".join(
        stranger.get(where).content.decode()
        for where in (family_address(perdita), family_address(perdita, route="family-child", args=[child.pk]))
    )
    theirs = "".join(
        stranger.get(where).content.decode()
        for where in (family_address(rowan), family_address(rowan, route="family-child", args=[child.pk]))
    )

    assert "Uncle Bram" in hers and "Aunt Sorrel" in hers and "has a spot" in hers
    assert "Cousin Fenwick" in theirs and "Old Bess" in theirs
    for word in ("Cousin Fenwick", "Old Bess", "Rowan", "555-0155", "Grim", "court order"):
        assert word not in hers, word
    for word in ("Uncle Bram", "Aunt Sorrel", "Perdita", "has a spot", "Guardian 001", "Grim", "court order"):
        assert word not in theirs, word


def test_one_guardian_changes_nothing_of_the_others(stranger, two_guardians):
    perdita, rowan, child = two_guardians
    bram, waiver = PickupPerson.objects.get(name="Uncle Bram"), Waiver.objects.get()
    refused = [
        say(stranger, rowan, "pickup-person-end", child, bram),
        say(stranger, rowan, "waiver-withdraw", child, waiver),
        say(stranger, rowan, "spot-give-up", Spot.objects.get()),
        stranger.get(family_address(rowan, route="family-signed", args=[waiver.pk])),
    ]
    say(stranger, rowan, "child-emergency", child, emergency_name="Bess", emergency_phone="555-0170")

    assert [answer.status_code for answer in refused] == [404] * 4
    assert Guardianship.objects.get(guardian=perdita).emergency_name == "Aunt Sorrel"
    assert PickupPerson.objects.in_force().filter(pk=bram.pk).exists()


def test_a_spot_the_other_guardian_asked_for_is_not_told(stranger, two_guardians):
    _, rowan, child = two_guardians
    clinic = Spot.objects.get().clinic
    answer = stranger.post(family_address(rowan, route="family-clinic", args=[clinic.pk]), {"child": child.pk})

    assert answer.status_code == 409 and "You can’t do this online" in answer.content.decode()
    assert Spot.objects.count() == 1


def test_an_invited_guardian_confirms_and_has_a_page_of_their_own(stranger, family):
    guardian, child = family(), Child.objects.get()
    say(stranger, guardian, "child-invite", child, name="Rowan Thornapple", email="rowan@example.org")
    rowan = Guardian.objects.get(email="rowan@example.org")
    assert not rowan.confirmed and Note.objects.about(rowan).filter(kind=FAMILY_LINK).count() == 1
    page = stranger.post(family_address(rowan, route="family-confirm"), follow=True).content.decode()

    assert "Wrenna" in page and "has a spot" not in page


def test_inviting_somebody_twice_or_oneself_writes_nothing_and_says_nothing(stranger, family):
    guardian, child = family(), Child.objects.get()
    for _ in range(2):
        say(stranger, guardian, "child-invite", child, name="Rowan", email="Rowan@example.org")
    say(stranger, guardian, "child-invite", child, name="Me", email="PERDITA@example.org")

    assert Guardian.objects.count() == 2


def test_inviting_somebody_known_joins_them_without_touching_the_child(stranger, family, household, now):
    guardian, child = family(), Child.objects.get()
    clinic = Spot.objects.get().clinic
    twin = household(("Wrenna Thornapple", child.birth_date), email="rowan@example.org")
    rowan = confirmed(register(clinic=clinic, facts=twin, once=uuid.uuid4(), now=now).registration.guardian, now)
    say(stranger, guardian, "child-invite", child, name="Rowan", email="rowan@example.org")
    invited = Guardian.objects.get(email="rowan@example.org", confirmed_at=None)
    stranger.post(family_address(invited, route="family-confirm"))

    assert set(child.guardianships.values_list("guardian", flat=True)) == {guardian.pk, rowan.pk}
    assert Spot.objects.filter(guardian=guardian, state=SpotState.HELD, child=child).exists()


def test_a_new_address_counts_only_after_it_has_answered(stranger, family):
    guardian = family()
    say(stranger, guardian, "new-address", email="new@example.org")
    change = GuardianAddress.objects.get()
    token = links.make(
        "family-address", subject=change.pk, counter=change.link_counter, expires_at=clock.now() + timedelta(days=3)
    )
    stranger.get(reverse("family-address", args=[token]))
    assert Guardian.objects.get().email == "perdita@example.org"
    stranger.post(reverse("family-address", args=[token]))

    assert Guardian.objects.get().email == "new@example.org"
    told = Note.objects.filter(kind=FAMILY_ADDRESS_CHANGED).values_list("to_email", flat=True)
    assert list(told) == ["perdita@example.org"]


def test_an_address_that_is_another_guardians_is_refused_when_it_answers(stranger, two_guardians):
    perdita, _, _ = two_guardians
    say(stranger, perdita, "new-address", email="rowan@example.org")
    change = GuardianAddress.objects.get()
    token = links.make(
        "family-address", subject=change.pk, counter=change.link_counter, expires_at=clock.now() + timedelta(days=3)
    )
    answer = stranger.post(reverse("family-address", args=[token]))

    assert answer.status_code == 409 and Guardian.objects.get(pk=perdita.pk).email == "perdita@example.org"


def test_a_copy_and_being_forgotten_are_asked_once_each(stranger, family):
    guardian = family()
    for what in ("copy", "copy", "erasure"):
        say(stranger, guardian, f"ask-{what}")
    assert stranger.post(family_address(guardian) + "requests/nothing/").status_code == 404

    assert sorted(FamilyRequest.objects.values_list("what", flat=True)) == ["copy", "erasure"]
    assert Note.objects.filter(kind=FAMILY_REQUEST).count() == 2


def test_a_new_link_ends_the_old_one(stranger, family):
    guardian = family()
    link = family_address(guardian)
    say(stranger, guardian, "new-link")

    assert stranger.get(link).status_code == 410
    assert Note.objects.filter(kind=FAMILY_LINK).count() == 1


def test_the_page_says_that_mail_does_not_arrive(stranger, family):
    guardian = family()
    assert "aren’t getting through" not in stranger.get(family_address(guardian)).content.decode()
    Note.objects.update(state=NoteState.STUCK)

    assert "Our emails to perdita@example.org" in stranger.get(family_address(guardian)).content.decode()


def test_name_and_telephone_are_saved_and_an_empty_name_stays_typed(stranger, family):
    guardian = family()
    say(stranger, guardian, "who", name="Perdita  Rowe", phone="555-0188")
    answer = say(stranger, guardian, "who", name="", phone="555-0199")

    guardian.refresh_from_db()
    assert (guardian.name, guardian.phone) == ("Perdita Rowe", "555-0188")
    assert answer.status_code == 422 and "555-0199" in answer.content.decode()


def test_the_page_takes_as_many_queries_for_many_children_as_for_one(
    stranger, family, make_clinic, household, now, django_assert_max_num_queries
):
    guardian = family()
    text = WaiverText.objects.get()
    for days in range(11, 17):
        clinic = make_clinic(days=days, children=1)
        facts = household((f"Child {days}", eight(clinic)), text=text)
        register(clinic=clinic, facts=household(), once=uuid.uuid4(), now=now)
        other = register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=now).registration.guardian
        Guardianship.objects.filter(guardian=other).update(guardian=guardian)
        Spot.objects.filter(guardian=other).update(guardian=guardian)
        make_clinic(days=days + 20)
    with django_assert_max_num_queries(24):
        page = stranger.get(family_address(guardian)).content.decode()

    assert page.count("number 1 on the waiting list") == 6
