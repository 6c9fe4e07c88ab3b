"""What somebody looks like who must not pick up a child: in words, and on a small photo."""

import base64

from django.db import transaction

from families.models import PickupPerson

__all__ = ["carry_looks", "change_looks", "forget_looks", "photo_text"]


def photo_text(photo: bytes | None) -> str:
    """A JPEG as the database keeps it."""
    return base64.b64encode(photo).decode() if photo else ""


@transaction.atomic
def change_looks(
    *, pickup_person: PickupPerson, description: str, photo: bytes | None, remove_photo: bool
) -> PickupPerson:
    """Save what they look like. Without a new ``photo`` the one on file stays, unless it is to be removed."""
    row = PickupPerson.objects.select_for_update(no_key=True, of=("self",)).get(pk=pickup_person.pk)
    row.description = description.strip()
    fields = ["description"]
    if photo or remove_photo:
        row.photo, row.has_photo = photo_text(photo), bool(photo)
        fields += ["photo", "has_photo"]
    row.save(update_fields=fields)
    return row


def forget_looks(row: PickupPerson) -> None:
    """Nobody is kept away any more by this record, so nobody needs to know them again. The caller saves."""
    row.description, row.photo, row.has_photo = "", "", False


def carry_looks(gone: PickupPerson, kept: PickupPerson) -> None:
    """What a record that goes knows of the same person, and the one that stays does not, goes over to it."""
    if gone.description and not kept.description:
        PickupPerson.objects.filter(pk=kept.pk).update(description=gone.description)
    if gone.has_photo and not kept.has_photo:
        PickupPerson.objects.filter(pk=kept.pk).update(photo=gone.photo, has_photo=True)
