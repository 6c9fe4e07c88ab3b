"""Giving a calendar feed a new private address, so that the old one stops."""

from django.db import transaction

from clinics.models import Center
from scheduling.models import OfficeFeed

__all__ = ["renew_center_feed", "renew_office_feed"]


@transaction.atomic
def renew_center_feed(*, center: Center) -> Center:
    """Give the center's feed a new address, so that the old one stops."""
    row = Center.objects.select_for_update(no_key=True).get(pk=center.pk)
    row.feed_counter += 1
    row.save(update_fields=["feed_counter"])
    return row


@transaction.atomic
def renew_office_feed() -> OfficeFeed:
    # Two who press at once before the row is there: the second waits for the first's row.
    """Give the office's feed a new address, so that the old one stops."""
    OfficeFeed.objects.bulk_create([OfficeFeed(pk=1)], ignore_conflicts=True)
    row = OfficeFeed.objects.select_for_update(no_key=True).get(pk=1)
    row.feed_counter += 1
    row.save(update_fields=["feed_counter"])
    return row
