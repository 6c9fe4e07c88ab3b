"""Makes photos safe: decodes, turns upright, shrinks and writes them anew, so that nothing hidden in them stays."""

from __future__ import annotations

import struct
import warnings
from dataclasses import dataclass
from io import BytesIO

from PIL import Image, ImageOps

from core.rules.refused import Refused

__all__ = [
    "MOST_PHOTO_BYTES",
    "MOST_PIXELS",
    "MOST_PORTRAIT_BYTES",
    "Photo",
    "check_picture",
    "make_photo",
    "make_portrait",
]

MOST_PHOTO_BYTES = 10 * 1024 * 1024
# What a phone of today makes, and what a web process can hold in memory. A guess of ours.
MOST_PIXELS = 40_000_000
LONGEST, LONGEST_SMALL = 1600, 480
QUALITY = 82
# A face that is known again on a phone, small enough to come along with the day's other facts: 40 kB as text.
LONGEST_PORTRAIT, MOST_PORTRAIT_BYTES = 600, 29_000
PORTRAIT_QUALITIES = (QUALITY, 70, 55, 40)
BROKEN = (OSError, SyntaxError, ValueError, EOFError, IndexError, KeyError, TypeError, OverflowError, struct.error)


@dataclass(frozen=True, slots=True)
class Photo:
    """Two JPEGs, and the width and height of the small one."""

    large: bytes
    small: bytes
    width: int
    height: int


def make_photo(raw: bytes) -> Photo:
    """Make our two JPEGs of a JPEG, PNG or WebP.

    Raises Refused for any other file, "no photo" or "damaged photo", and for one without a byte or with too many of
    bytes or pixels: "empty photo", "large photo", "pixels".
    """
    plain = _decoded(raw, LONGEST)
    small = plain.copy()
    small.thumbnail((LONGEST_SMALL, LONGEST_SMALL))
    return Photo(_jpeg(plain), _jpeg(small), *small.size)


def make_portrait(raw: bytes) -> bytes:
    """Make one small JPEG of a photo, at most MOST_PORTRAIT_BYTES. Raises Refused as ``make_photo`` does."""
    plain = _decoded(raw, LONGEST_PORTRAIT)
    # What is full of detail stays too large at any quality, and is made smaller instead.
    while True:
        for quality in PORTRAIT_QUALITIES:
            made = _jpeg(plain, quality)
            if len(made) <= MOST_PORTRAIT_BYTES:
                return made
        plain.thumbnail((plain.width * 3 // 4, plain.height * 3 // 4))


def check_picture(raw: bytes, kind: str) -> None:
    """Raises Refused "damaged picture", "no photo" or "pixels" unless all of ``raw`` decodes as such a picture."""
    with _opened(raw, (kind,)) as picture:
        try:
            picture.load()
        except BROKEN as problem:
            raise Refused.because("damaged picture") from problem


def _decoded(raw: bytes, longest: int) -> Image.Image:
    """The colours of a photo, upright and no longer than ``longest`` on any side."""
    if not raw:
        raise Refused.because("empty photo")
    if len(raw) > MOST_PHOTO_BYTES:
        raise Refused.because("large photo")
    with _opened(raw, ("JPEG", "PNG", "WEBP")) as picture:
        # A JPEG is decoded at a fraction of its size where that is still more than we keep.
        picture.draft("RGB", (longest, longest))
        try:
            picture.load()
            upright = ImageOps.exif_transpose(picture)
            upright.thumbnail((longest, longest))
            return _plain(upright)
        except BROKEN as problem:
            raise Refused.because("damaged photo") from problem


def _opened(raw: bytes, kinds: tuple[str, ...]) -> Image.Image:
    try:
        with warnings.catch_warnings():
            # Our own limit is lower than the one that Pillow warns of.
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            picture = Image.open(BytesIO(raw), formats=kinds)
    except Image.DecompressionBombError as problem:
        raise _too_many() from problem
    except BROKEN as problem:
        raise Refused.because("no photo") from problem
    if picture.width * picture.height > MOST_PIXELS:
        raise _too_many()
    return picture


def _too_many() -> Refused:
    return Refused.because("pixels", millions=MOST_PIXELS // 1_000_000)


def _plain(picture: Image.Image) -> Image.Image:
    """The colours alone on white, without what came beside them (EXIF, comment, colour profile)."""
    plain = Image.new("RGB", picture.size, "white")
    whole = picture.convert("RGBA")
    plain.paste(whole, mask=whole.getchannel("A"))
    return plain


def _jpeg(picture: Image.Image, quality: int = QUALITY) -> bytes:
    out = BytesIO()
    picture.save(out, "JPEG", quality=quality, optimize=True, progressive=True)
    return out.getvalue()
