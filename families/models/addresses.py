"""A guardian's new email address, until it has answered."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from families.models.guardians import Guardian


class GuardianAddress(models.Model):
    guardian = models.ForeignKey(Guardian, on_delete=models.CASCADE, related_name="address_changes")
    email = models.EmailField(_("email"))
    asked_at = models.DateTimeField()
    confirmed_at = models.DateTimeField(null=True)
    link_counter = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["-asked_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["guardian"], condition=Q(confirmed_at__isnull=True), name="one_open_guardian_address_each"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.guardian}: {self.email}"

    @property
    def who_answers(self) -> Guardian:
        """Who acts by a link of this row."""
        return self.guardian
