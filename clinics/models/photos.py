"""Photos of a space, so that people who pack or lead know it before they see it."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from clinics.models.centers import Space

__all__ = ["SpacePhoto"]


class PhotoManager(models.Manager["SpacePhoto"]):
    def get_queryset(self) -> models.QuerySet["SpacePhoto"]:
        # A page names its photos; only the view that hands one out fetches it.
        return super().get_queryset().defer("large", "small")


class SpacePhoto(models.Model):
    """Two JPEGs made by us (``clinics/rules/pictures.py``), never the bytes that were sent."""

    space = models.ForeignKey(Space, on_delete=models.CASCADE, related_name="photos")
    alt = models.CharField(
        _("what it shows"),
        max_length=160,
        help_text=_("For people who can’t see it. Example: six hoops, doors on the left."),
    )
    large = models.BinaryField()
    small = models.BinaryField()
    width = models.PositiveSmallIntegerField(help_text=_("Of the small photo, so that the page keeps its layout."))
    height = models.PositiveSmallIntegerField()
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    added_at = models.DateTimeField()

    objects = PhotoManager()

    class Meta:
        ordering = ["space", "pk"]
        constraints = [
            models.CheckConstraint(condition=~Q(alt=""), name="a_photo_says_what_it_shows"),
        ]

    def __str__(self) -> str:
        return self.alt
