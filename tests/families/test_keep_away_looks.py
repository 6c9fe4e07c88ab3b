"""What somebody looks like who must not pick up: written by the office, seen by who may, kept small, under lock."""

import base64
import random
import re
import uuid
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.urls import reverse
from PIL import Image

from clinics.rules.pictures import MOST_PORTRAIT_BYTES, make_portrait
from core.merge import history_of
from core.rules.refused import Refused
from families.models import Guardian, PickupPerson
from families.queries.door import door_lines
from families.queries.family_copy import family_copy
from families.services.family_records import add_pickup_person, end_pickup_person, keep_away
from families.services.looks import carry_looks, change_looks
from families.services.redaction import redact_child
from families.services.registering import register
from floor.queries.page import day_data

pytestmark = pytest.mark.django_db
LOOKS = "About 6 ft, gray beard. Blue van"


def picture(size=(900, 1200), noise=False, **more):
    out = BytesIO()
    made = Image.new("RGB", size, "red")
    if noise:
        made = Image.frombytes("RGB", size, random.Random(3).randbytes(size[0] * size[1] * 3))
    made.save(out, "JPEG", quality=95, **more)
    return out.getvalue()


@pytest.fixture
def child(make_clinic, household, now):
    return register(clinic=make_clinic(), facts=household(), once=uuid.uuid4(), now=now).spots[0].child


@pytest.fixture
def barred(child, coordinator, now):
    return keep_away(
        child=child, name="Rafe Vale", relation="", seen="A court order", description=LOOKS,
        photo=make_portrait(picture()), by=coordinator, now=now,
    )  # fmt: skip


def sent(noise=False):
    return SimpleUploadedFile("rafe.jpg", picture(noise=noise), "image/jpeg")


def address(row, name="pickup-person-photo"):
    return reverse(name, args=[row.child_id, row.pk])


@pytest.mark.parametrize(
    ("size", "noise"), [((900, 1200), False), ((3000, 2000), True), ((40, 60), True), ((600, 3), False)]
)
def test_a_portrait_is_small_whatever_was_sent_and_keeps_nothing_hidden(size, noise):
    exif = Image.Exif()
    exif[0x010F] = "A maker"
    made = make_portrait(picture(size, noise, exif=exif))
    with Image.open(BytesIO(made)) as seen:
        assert len(made) <= MOST_PORTRAIT_BYTES and max(seen.size) <= 600 and not seen.getexif()
    assert len(base64.b64encode(made)) <= 40_000


@pytest.mark.parametrize(("raw", "code"), [(b"", "empty photo"), (b"no picture", "no photo")])
def test_what_is_no_photo_is_refused(raw, code):
    with pytest.raises(Refused) as refused:
        make_portrait(raw)
    assert refused.value.codes == {code}


def test_the_office_writes_what_they_look_like_with_the_entry(child, coordinator, signed_in):
    client = signed_in(coordinator)
    typed = {
        "what": "away", "away-name": "Rafe Vale", "away-seen": "A court order", "away-description": LOOKS,
        "away-photo": sent(),
    }  # fmt: skip
    page = client.post(reverse("pickup-person-new", args=[child.pk]), typed, follow=True).content.decode()
    row = PickupPerson.objects.get(must_not=True)

    assert LOOKS in page and address(row) in page
    answer = client.get(address(row))
    assert answer["Content-Type"] == "image/jpeg" and answer["Cache-Control"] == "no-store"
    assert answer.content == base64.b64decode(row.photo)


def test_a_file_that_is_no_photo_is_said_and_nothing_typed_is_lost(child, coordinator, signed_in):
    typed = {
        "what": "away", "away-name": "Rafe Vale", "away-seen": "A court order", "away-description": LOOKS,
        "away-photo": SimpleUploadedFile("a.jpg", b"words"),
    }  # fmt: skip
    answer = signed_in(coordinator).post(reverse("pickup-person-new", args=[child.pk]), typed)

    assert answer.status_code == 422 and not PickupPerson.objects.filter(must_not=True).exists()
    assert "We can’t read this photo" in answer.content.decode() and LOOKS in answer.content.decode()


def test_they_are_written_later_too_and_the_photo_goes_when_it_is_asked(barred, coordinator, signed_in):
    client, form = signed_in(coordinator), address(barred, "pickup-person-looks")
    assert LOOKS in client.get(form).content.decode()
    client.post(form, {"description": "Shaved now", "photo": sent(noise=True)})
    row = PickupPerson.objects.get(pk=barred.pk)
    assert row.description == "Shaved now" and row.photo != barred.photo
    # Neither typed nor sent, it stays.
    client.post(form, {"description": "Shaved now"})
    assert PickupPerson.objects.get(pk=barred.pk).photo == row.photo
    client.post(form, {"description": "", "remove_photo": "on"})
    row = PickupPerson.objects.get(pk=barred.pk)
    assert (row.description, row.photo, row.has_photo) == ("", "", False)
    assert client.get(address(row)).status_code == 404


def test_only_who_sees_children_sees_them(barred, client, floor_lead, signed_in):
    assert client.get(address(barred)).status_code == 302
    lead = signed_in(floor_lead)
    assert lead.get(address(barred)).status_code == 403
    assert lead.get(address(barred, "pickup-person-looks")).status_code == 403


def test_the_database_holds_neither_in_clear_nor_in_any_history(barred):
    with connection.cursor() as cursor:
        cursor.execute("SELECT description, photo FROM families_pickupperson WHERE id = %s", [barred.pk])
        kept = cursor.fetchone()
    assert LOOKS not in kept[0] and barred.photo not in kept[1] and all(kept)
    fields = {field.name for field in history_of(PickupPerson)._meta.get_fields()}
    assert fields.isdisjoint({"description", "photo"})


def test_a_list_of_people_opens_no_photo(barred):
    assert "photo" in PickupPerson.objects.get(pk=barred.pk).get_deferred_fields()


def test_they_go_with_the_entry_and_with_the_childs_record(barred, child, coordinator, now):
    end_pickup_person(pickup_person=barred, now=now)
    row = PickupPerson.objects.get(pk=barred.pk)
    assert (row.description, row.photo, row.has_photo) == ("", "", False)
    redact_child(child=child, now=now)
    assert not PickupPerson.objects.filter(child=child).exists()


def test_they_outlive_the_one_of_two_records_that_goes(barred, child, coordinator, now):
    other = keep_away(child=child, name="Rafe Vale", relation="", seen="A letter", by=coordinator, now=now)
    carry_looks(barred, other)
    row = PickupPerson.objects.get(pk=other.pk)
    assert (row.description, row.photo, row.has_photo) == (LOOKS, barred.photo, True)
    change_looks(pickup_person=other, description="Shaved now", photo=None, remove_photo=False)
    carry_looks(barred, PickupPerson.objects.get(pk=other.pk))
    assert PickupPerson.objects.get(pk=other.pk).description == "Shaved now"


def test_no_guardian_reads_them(barred):
    copies = [one for guardian in Guardian.objects.all() for one in family_copy(guardian)]
    assert copies and all(row.must_not is False for one in copies for row in one.pickup_people)


def test_the_phones_day_holds_them_so_that_they_show_without_signal(floor, coordinator, now):
    keep_away(
        child=floor.children[2], name="Rafe Vale", relation="", seen="A letter", description=LOOKS,
        photo=make_portrait(picture()), by=coordinator, now=now,
    )  # fmt: skip
    keep_away(child=floor.children[2], name="Bram Ash", relation="", seen="A letter", by=coordinator, now=now)
    (bryn,) = [one for one in day_data(floor.phone, now)["children"] if one["name"] == "Bryn Vale"]
    looks = dict(zip(bryn["must_not"], bryn["looks"], strict=True))

    assert looks["Bram Ash"] == {"description": "", "photo": ""}
    assert looks["Rafe Vale"]["description"] == LOOKS
    assert re.match("data:image/jpeg;base64,/9j/", looks["Rafe Vale"]["photo"])
    assert len(looks["Rafe Vale"]["photo"]) <= 40_000


def test_the_printed_sheet_says_of_whom_to_check_the_id(barred, child, coordinator, now):
    for name in ("Raef Quill", "Petra Moss"):
        add_pickup_person(child=child, name=name, phone="", relation="neighbor", by=coordinator, now=now)
    (line,) = door_lines(child.spots.get().clinic, with_care=False)
    like = {one.name: one.like for one in line.may_pick_up}

    assert (like["Raef Quill"], like["Petra Moss"]) == ("Rafe Vale", "")
