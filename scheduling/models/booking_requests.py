"""One question to a center for several days: a series by a pattern, or dates that somebody chose."""

from django.db import models

from clinics.models import Center


class BookingRequest(models.Model):
    """One question for several days. Its link opens one page, on which the center answers each day by itself."""

    center = models.ForeignKey(Center, on_delete=models.CASCADE, related_name="askings")
    asked_at = models.DateTimeField()
    link_counter = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["-asked_at", "-pk"]

    def __str__(self) -> str:
        return f"asking {self.pk} of {self.center}"

    @property
    def who_answers(self) -> Center:
        """The center that acts through a link of this row."""
        return self.center
