"""From the code on the bag to handing it over in two taps, and the labels that carry it."""

import pytest
from django.urls import reverse

from kits.models import KIT_AFTER, KIT_BEFORE, Kit, KitBooking
from kits.queries.kits import likely_places
from kits.rules.kit_codes import kit_code


@pytest.fixture
def kit(db):
    return Kit.objects.create(name="Kit 7", with_whom="Imara Venn")


def pack(kit, clinic):
    KitBooking.objects.create(
        kit=kit, clinic=clinic, period=(clinic.starts_at - KIT_BEFORE, clinic.ends_at + KIT_AFTER)
    )


def test_two_taps_from_the_code_to_i_have_it_now(kit, floor_lead, signed_in):
    client = signed_in(floor_lead)
    first = client.get(reverse("kit-code"), {"code": kit.code.lower().replace("-", " ")})
    assert first["Location"] == reverse("kit-move", args=[kit.pk])
    page = client.get(first["Location"]).content.decode()
    assert "I have this kit now" in page and f'name="with_whom" value="{floor_lead.name}"' in page

    client.post(first["Location"], {"with_whom": floor_lead.name})

    kit.refresh_from_db()
    assert kit.with_whom == floor_lead.name
    assert "I have this kit now" not in client.get(first["Location"]).content.decode()


def test_the_places_of_its_clinics_nearest_in_time_are_offered_for_one_tap(
    kit, coordinator, signed_in, make_clinic, now
):
    near, far, farther = (make_clinic(days=days) for days in (2, 9, 30))
    before = make_clinic(days=-3)
    for clinic in (near, far, farther, before):
        pack(kit, clinic)

    assert likely_places(kit, now) == [near.center, before.center]
    page = signed_in(coordinator).get(reverse("kit-move", args=[kit.pk])).content.decode()
    assert f"It’s at {near.center}" in page and farther.center.name not in page.split('id="goes"')[0]

    signed_in(coordinator).post(reverse("kit-move", args=[kit.pk]), {"now_at": near.center_id})
    kit.refresh_from_db()
    assert kit.now_at == near.center and kit.with_whom == ""
    assert near.center not in likely_places(kit, now)


def test_a_mistyped_code_is_refused_in_words_and_stays(kit, coordinator, signed_in):
    code = kit.code
    wrong = code[:-1] + ("A" if code[-1] != "A" else "B")
    answer = signed_in(coordinator).get(reverse("kit-code"), {"code": wrong})

    text = answer.content.decode()
    assert answer.status_code == 422 and "This code has a typo" in text and f'value="{wrong}"' in text


@pytest.mark.parametrize("number", [0, 10**12, 10**20])
def test_the_code_of_another_house_is_not_taken_for_one_of_ours(kit, coordinator, signed_in, number):
    answer = signed_in(coordinator).get(reverse("kit-code"), {"code": kit_code(number, "4F")})

    assert answer.status_code == 422 and "We don’t have a kit with this code" in answer.content.decode()


def test_a_code_with_our_number_and_other_signs_is_another_houses(kit, coordinator, signed_in):
    other = "00" if kit.own_signs != "00" else "11"
    answer = signed_in(coordinator).get(reverse("kit-code"), {"code": kit_code(kit.pk, other)})

    assert answer.status_code == 422 and "another organization" in answer.content.decode()


@pytest.mark.parametrize("typed", ["", "<script>", "K" * 300, "\x00"])
def test_what_is_no_code_at_all_is_refused_in_words(kit, coordinator, signed_in, typed):
    answer = signed_in(coordinator).get(reverse("kit-code"), {"code": typed})

    assert answer.status_code == 422 and "<script>" not in answer.content.decode()


def test_kits_has_the_box_and_labels_carry_code_and_picture(kit, coordinator, signed_in):
    other, client = Kit.objects.create(name="Kit 8"), signed_in(coordinator)

    assert "Kit code" in client.get(reverse("kits")).content.decode()
    page = client.get(reverse("kit-labels")).content.decode()
    assert kit.code in page and other.code in page and page.count("Scan to update the location of") == 2
    one = client.get(reverse("kit-label", args=[kit.pk])).content.decode()
    assert kit.code in one and other.code not in one
    assert kit.code in client.get(reverse("kit", args=[kit.pk])).content.decode()


def test_a_stranger_finds_out_nothing_by_code(kit, stranger):
    for address in (reverse("kit-code") + f"?code={kit.code}", reverse("kit-labels"), reverse("kit-label", args=[1])):
        assert stranger.get(address)["Location"].startswith("/log-in/")


def test_looking_at_the_page_moves_nothing(kit, coordinator, signed_in):
    signed_in(coordinator).get(reverse("kit-move", args=[kit.pk]), {"with_whom": "Somebody"})

    kit.refresh_from_db()
    assert kit.with_whom == "Imara Venn" and kit.moved_at is None
