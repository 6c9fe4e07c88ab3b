"""Who stands in for a clinic's lead."""

import pghistory
from django.conf import settings
from django.db import models
from django.db.models import Q

from clinics.models import Clinic
from people.models import Volunteer


@pghistory.track()
class FloorStandIn(models.Model):
    """The office named a volunteer who may open the floor page beside the lead, until it ends that."""

    clinic = models.ForeignKey(Clinic, on_delete=models.CASCADE, related_name="stand_ins")
    volunteer = models.ForeignKey(Volunteer, on_delete=models.PROTECT, related_name="stand_ins")
    named_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    named_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    link_counter = models.PositiveIntegerField(default=0, editable=False)

    class Meta:
        ordering = ["clinic", "named_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["clinic", "volunteer"], condition=Q(ended_at__isnull=True), name="stands_in_once_at_a_clinic"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.volunteer} stands in at {self.clinic}"

    @property
    def who_answers(self) -> Volunteer:
        """Who acts by a link of this row."""
        return self.volunteer
