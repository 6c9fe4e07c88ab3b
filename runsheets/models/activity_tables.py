"""A file of activities that was read but not yet imported, and what it changed, so that the import can be undone."""

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

__all__ = ["ActivityTable"]


class ActivityTable(models.Model):
    class State(models.TextChoices):
        READ = "read", _("not imported yet")
        TAKEN = "taken", _("imported")
        UNDONE = "undone", _("import undone")

    state = models.CharField(max_length=8, choices=State.choices, default=State.READ)
    file_name = models.CharField(max_length=120)
    rows = models.JSONField(default=list, help_text="Line, code of what it changes or empty, and facts.")
    bad = models.JSONField(default=list)
    made = models.JSONField(default=list, help_text="Code of the activity of each row, as it was written.")
    before = models.JSONField(default=dict, help_text="Code to the facts that the table changed, as they were.")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    read_at = models.DateTimeField()
    taken_at = models.DateTimeField(null=True)
    undone_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(state="read", taken_at__isnull=True, undone_at__isnull=True)
                | models.Q(state="taken", taken_at__isnull=False, undone_at__isnull=True)
                | models.Q(state="undone", taken_at__isnull=False, undone_at__isnull=False),
                name="activity_table_says_when",
            ),
        ]

    def __str__(self) -> str:
        return self.file_name

    @property
    def new(self) -> int:
        return sum(not row["code"] for row in self.rows)
