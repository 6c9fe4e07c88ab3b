"""One question to a center for several days: a row by a pattern, or dates that somebody chose."""

from django.db import models

from clinics.models import Center


class BookingRequest(models.Model):
    """Its link opens one page on which each day is answered by itself."""

    center = models.ForeignKey(Center, on_delete=models.CASCADE, related_name="askings")
    asked_at = models.DateTimeField()
    link_counter = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["-asked_at", "-pk"]

    def __str__(self) -> str:
        return f"asking {self.pk} of {self.center}"

    @property
    def who_answers(self) -> Center:
        """Who acts by a link of this row."""
        return self.center
