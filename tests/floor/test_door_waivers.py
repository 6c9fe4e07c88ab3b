"""Waivers signed at the door: written once whatever the order, taken back with their entry, checked by the office."""

from datetime import timedelta

import pytest
from django.urls import reverse

from core import clock
from families.models import Waiver, WaiverText
from families.services.family_records import record_paper_waiver
from floor.models import DoorPolicy, FloorAction, PaperWaiver
from floor.services.phones import open_phone
from scheduling.queries.ahead import ahead_page
from tests.floor_days import entry, send

pytestmark = pytest.mark.django_db


@pytest.fixture
def fern(floor):
    """A child of today without a waiver."""
    child = next(one for one in floor.children if one.name == "Fern Moss")
    Waiver.objects.filter(child=child).delete()
    return child


def waiver(seq, at, child, **more):
    text = WaiverText.objects.get()
    facts = {"how": "phone", "guardian": "", "signed": "Alma Moss", "language": "en", "version": text.version}
    return entry(seq, "waiver", at, who=f"c{child.pk}", **(facts | more))


def test_a_signature_is_written_once_however_often_and_in_whatever_order_it_arrives(floor, fern, now):
    one, two = waiver(1, now, fern), entry(2, "in", now, who=f"c{fern.pk}")
    send(floor, two)
    send(floor, one)
    send(floor, one, two)

    row = Waiver.objects.get(child=fern)
    assert (str(row.door_entry), row.typed_name, row.text_hash) == (one["id"], "Alma Moss", row.text.hash)
    assert row.came_from and "Oswin Tarrant" in row.signed_where


def test_an_undone_signature_holds_no_more_and_holds_again_when_the_undoing_is_undone(floor, fern, now):
    signed = waiver(1, now, fern)
    back = entry(2, "undo", now, of=signed["id"])
    send(floor, signed)
    send(floor, back)
    assert Waiver.objects.get(child=fern).withdrawn_at is not None
    FloorAction.objects.filter(pk=str(back["id"])).delete()
    send(floor, entry(3, "note", now, words="x"))

    assert Waiver.objects.get(child=fern).withdrawn_at is None


def test_two_phones_that_both_sign_leave_one_waiver(floor, fern, now):
    other, _ = open_phone(clinic=floor.clinic, volunteer=floor.lead.volunteer, came_from="192.0.2.8", now=now)
    send(floor, waiver(1, now, fern))
    send(floor, waiver(1, now, fern, signed="Petra Moss"), phone=other)

    assert Waiver.objects.get(child=fern).typed_name == "Alma Moss"


def test_a_text_that_nobody_knows_signs_nothing_and_loses_nothing(floor, fern, now):
    out = send(floor, waiver(1, now, fern, version=99), entry(2, "in", now, who=f"c{fern.pk}"))

    assert len(out.kept) == 2 and not Waiver.objects.filter(child=fern).exists()
    assert fern.sign_ins.count() == 1


def test_a_sheet_of_paper_stands_on_ahead_until_the_office_has_recorded_it(floor, fern, coordinator, now):
    sheet = waiver(1, now, fern, how="paper", signed="", version=0, language="")
    send(floor, sheet)
    send(floor, sheet)

    def said():
        return [one for one in ahead_page(now, clock.today()).needs if "paper waiver" in one.headline]

    assert PaperWaiver.objects.count() == 1 and not Waiver.objects.filter(child=fern).exists()
    assert ["Fern Moss" in one.detail for one in said()] == [True]
    record_paper_waiver(
        child=fern, guardian=fern.guardianships.get().guardian, text=WaiverText.objects.get(), typed_name="Alma Moss",
        signed_on=floor.clinic.day, by=coordinator, today=floor.clinic.day, now=now,
    )  # fmt: skip
    assert said() == []


def test_an_undone_sheet_is_not_asked_after(floor, fern, now):
    sheet = waiver(1, now, fern, how="paper", signed="", version=0, language="")
    send(floor, sheet, entry(2, "undo", now, of=sheet["id"]))

    assert not PaperWaiver.objects.exists()


def test_a_walk_in_signs_the_text_that_the_phone_showed(floor, now):
    english = WaiverText.objects.get()
    spanish = WaiverText.objects.create(
        version=english.version, language="es", title="Autorización", body="Acepto.", published_at=now
    )
    facts = {"born": "2017-01-01", "guardian": "Ida", "phone": "555-0140"}
    send(
        floor,
        entry(1, "walk-in", now, who="w-1", name="A B", signed="Ida", version=spanish.version, language="es", **facts),
        entry(2, "walk-in", now, who="w-2", name="C D", signed="", paper=True, **facts),
        now=now + timedelta(minutes=1),
    )

    assert [one.text for one in Waiver.objects.filter(child__name__in=["A B", "C D"])] == [spanish]
    assert PaperWaiver.objects.get().child.name == "C D"


def test_only_the_admin_sets_what_the_lead_may_offer(admin, coordinator, floor_lead, signed_in, stranger):
    page = reverse("door-policy")
    for account in (coordinator, floor_lead):
        assert signed_in(account).post(page, {}).status_code == 403
    assert stranger.post(page, {}).status_code in (302, 403) and not DoorPolicy.objects.exists()
    assert signed_in(admin).get(page).status_code == 200
    assert signed_in(admin).post(page, {"sign_on_paper": "on"}).status_code == 302
    row = DoorPolicy.objects.get()
    assert (row.sign_on_phone, row.sign_on_paper, row.changed_by) == (False, True, admin)
    assert "Waivers at the door" in signed_in(admin).get(reverse("policy")).text
