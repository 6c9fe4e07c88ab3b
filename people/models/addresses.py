"""A new email address that a volunteer gave and has not answered from yet."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from people.models.volunteers import Volunteer


class AddressChange(models.Model):
    volunteer = models.ForeignKey(Volunteer, on_delete=models.CASCADE, related_name="address_changes")
    email = models.EmailField(_("email"))
    asked_at = models.DateTimeField()
    confirmed_at = models.DateTimeField(null=True)
    link_counter = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["-asked_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["volunteer"], condition=Q(confirmed_at__isnull=True), name="one_open_address_change_each"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.volunteer}: {self.email}"

    @property
    def who_answers(self) -> Volunteer:
        """The volunteer who acts through a link of this row."""
        return self.volunteer
