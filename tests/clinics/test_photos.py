"""Photos of a space: made anew, without what the camera noted, and seen by staff only."""

import struct
import zlib
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from PIL import Image

from clinics.models import SpacePhoto
from clinics.rules.pictures import MOST_PHOTO_BYTES, make_photo
from clinics.services.photos import MOST_PHOTOS
from clinics.words.files import file_words
from core.rules.refused import Refused

ORIENTATION, MAKE, GPS = 0x0112, 0x010F, 0x8825


def photo(kind="JPEG", size=(60, 40), mode="RGB", colour="red", **more):
    out = BytesIO()
    Image.new(mode, size, colour).save(out, kind, **more)
    return out.getvalue()


def with_exif(orientation=1):
    exif = Image.Exif()
    exif[ORIENTATION], exif[MAKE] = orientation, "Secret Camera"
    exif.get_ifd(GPS)[1] = "N"
    return photo(exif=exif.tobytes(), comment=b"taken at home")


def opened(raw):
    return Image.open(BytesIO(raw))


def bomb(width=60_000, height=60_000):
    """A PNG of a few bytes that says it has 3 600 million pixels."""

    def chunk(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 100)) + chunk(b"IEND", b"")
    )


def test_what_the_camera_noted_is_gone():
    raw = with_exif()
    assert b"Secret Camera" in raw and b"taken at home" in raw

    made = make_photo(raw)

    for kept in (made.large, made.small):
        assert b"Secret Camera" not in kept and b"taken at home" not in kept and b"Exif" not in kept
        assert not opened(kept).getexif() and opened(kept).format == "JPEG"


def test_a_photo_taken_on_its_side_stands_upright():
    assert opened(make_photo(with_exif(orientation=6)).large).size == (40, 60)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_large_photo_is_made_smaller_and_a_small_one_is_left(kind):
    large = make_photo(photo(kind, (4000, 1000)))
    assert opened(large.large).size == (1600, 400) and (large.width, large.height) == (480, 120)
    assert opened(large.small).size == (480, 120)

    assert opened(make_photo(photo(kind)).large).size == (60, 40)


def test_what_is_seen_through_becomes_white():
    made = opened(make_photo(photo("PNG", mode="RGBA", colour=(0, 0, 0, 0))).large)

    assert min(made.getpixel((30, 20))) > 250


@pytest.mark.parametrize(
    ("raw", "codes"),
    [
        (b"", {"empty photo"}),
        (b"%PDF-1.7", {"no photo"}),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", {"no photo"}),
        (photo("GIF", mode="P", colour=1), {"no photo"}),
        (photo("TIFF"), {"no photo"}),
        (photo("PNG", (400, 400))[:-60], {"damaged photo"}),
        (photo("JPEG", (400, 400))[:200], {"damaged photo", "no photo"}),
        (bomb(), {"pixels"}),
        (bomb(7000, 7000), {"pixels"}),
        (photo() + b"x" * MOST_PHOTO_BYTES, {"large photo"}),
    ],
)
def test_what_is_no_photo_or_too_much_of_one_is_refused_and_each_code_has_words(raw, codes):
    with pytest.raises(Refused) as refused:
        make_photo(raw)

    assert refused.value.codes <= codes and file_words(refused.value)


@pytest.fixture
def page(make_space):
    space = make_space(name="Hall floor")
    return space, reverse("space-photos", args=[space.pk])


def typed(raw=None, name="hall.jpg", alt="Six hoops, doors on the left."):
    return {"file": SimpleUploadedFile(name, photo() if raw is None else raw, "image/jpeg"), "alt": alt}


def test_a_photo_is_added_shown_and_removed(page, coordinator, floor_lead, signed_in):
    space, address = page
    client = signed_in(coordinator)
    client.post(address, typed(with_exif(), name="../..//x<script>.jpg"))
    row = SpacePhoto.objects.get()
    assert row.added_by == coordinator

    text = signed_in(floor_lead).get(reverse("center", args=[space.center_id])).content.decode()
    assert 'alt="Six hoops, doors on the left."' in text and f"/photos/{row.pk}/small/" in text
    for name in ("photo", "photo-small"):
        answer = signed_in(floor_lead).get(reverse(name, args=[row.pk]))
        assert answer.headers["Content-Type"] == "image/jpeg" and opened(answer.content).size == (60, 40)
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Content-Security-Policy"].startswith("sandbox")
        assert "private" in answer.headers["Cache-Control"]

    client.post(reverse("photo-remove", args=[row.pk]))
    assert not SpacePhoto.objects.exists()
    assert client.get(reverse("photo", args=[row.pk])).status_code == 404


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        (typed(b""), "This file is empty"),
        (typed(b"%PDF-1.7"), "We can’t read this photo"),
        (typed(bomb()), "more than 40 million pixels"),
        (typed(alt=""), "Describe the photo in a few words"),
        ({"alt": "A hall"}, "Choose a photo"),
    ],
)
def test_what_cannot_be_added_is_said(page, coordinator, signed_in, sent, sentence):
    answer = signed_in(coordinator).post(page[1], sent)

    assert answer.status_code == 422 and sentence in answer.content.decode()
    assert not SpacePhoto.objects.exists()


def test_a_space_has_only_so_many_photos(page, coordinator, signed_in):
    client = signed_in(coordinator)
    for _ in range(MOST_PHOTOS):
        client.post(page[1], typed(photo()))

    answer = client.post(page[1], typed(photo()))

    assert answer.status_code == 422 and f"up to {MOST_PHOTOS} photos. Remove" in answer.content.decode()


def test_a_page_names_photos_without_fetching_them(page, coordinator, signed_in, django_assert_num_queries):
    client = signed_in(coordinator)
    address = reverse("center", args=[page[0].center_id])
    client.post(page[1], typed(photo()))
    client.get(address)
    with CaptureQueriesContext(connection) as few:
        client.get(address)
    cost = len(few)
    assert any("spacephoto" in query["sql"] for query in few.captured_queries)
    assert not any('"large"' in query["sql"] for query in few.captured_queries)
    for _ in range(3):
        client.post(page[1], typed(photo()))
    client.get(address)

    with django_assert_num_queries(cost):
        client.get(address)


def test_tables_and_wifi_of_a_space_are_kept(page, coordinator, signed_in):
    space, _ = page
    change = reverse("space-change", args=[space.pk])
    floor = {"name": "Hall floor", "hoops": 4, "capacity": 60, "sockets": 2, "active": "on"}
    signed_in(coordinator).post(change, floor | {"tables": 6, "wifi": "on"})
    space.refresh_from_db()
    assert (space.tables, space.wifi) == (6, True)

    signed_in(coordinator).post(change, floor | {"tables": ""})

    space.refresh_from_db()
    assert (space.tables, space.wifi) == (None, False)


def test_a_stranger_sees_no_photo_and_a_floor_lead_changes_none(page, coordinator, floor_lead, stranger, signed_in):
    signed_in(coordinator).post(page[1], typed(photo()))
    pk = SpacePhoto.objects.get().pk
    for name in ("photo", "photo-small"):
        assert stranger.get(reverse(name, args=[pk])).status_code == 302
    assert stranger.get(page[1]).status_code == 302
    assert signed_in(floor_lead).get(page[1]).status_code == 403
    assert signed_in(floor_lead).post(reverse("photo-remove", args=[pk])).status_code == 403
