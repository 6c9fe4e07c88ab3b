"""The organization's own calendar feed: one row, whose counter revokes its address."""

from django.db import models
from django.db.models import Q


class OfficeFeed(models.Model):
    # Raised to renew the private address of the feed; the old one then stops.
    feed_counter = models.PositiveIntegerField(default=0, editable=False)

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(pk=1), name="one_row_of_the_office_feed")]

    def __str__(self) -> str:
        return "the organization's calendar"

    @classmethod
    def current(cls) -> "OfficeFeed":
        """The row, or an unsaved one when the feed was never renewed."""
        return cls.objects.first() or cls(pk=1)
