"""Adding and removing photos of a space."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext

from clinics.models import Space, SpacePhoto
from clinics.rules.pictures import Photo
from core.refusal import Refusal
from people.models import User

__all__ = ["MOST_PHOTOS", "add_photo", "remove_photo"]

# Enough to know a floor by; each is a few hundred kB in the database and in every backup.
MOST_PHOTOS = 6


@transaction.atomic
def add_photo(*, space: Space, photo: Photo, alt: str, by: User, now: datetime) -> SpacePhoto:
    """Add a photo to a space. Raises Refusal "too many" when the space has as many as are kept."""
    Space.objects.select_for_update(no_key=True).get(pk=space.pk)
    if SpacePhoto.objects.filter(space=space).count() >= MOST_PHOTOS:
        words = gettext("A space can have up to %(n)d photos. Remove one first.") % {"n": MOST_PHOTOS}
        raise Refusal.because("too many", words, "file")
    return SpacePhoto.objects.create(
        space=space,
        alt=alt,
        large=photo.large,
        small=photo.small,
        width=photo.width,
        height=photo.height,
        added_by=by,
        added_at=now,
    )


@transaction.atomic
def remove_photo(*, photo: SpacePhoto) -> None:
    SpacePhoto.objects.filter(pk=photo.pk).delete()
