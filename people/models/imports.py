"""A table that was read but not yet taken, and what was taken from it, so that one press undoes it."""

from django.conf import settings
from django.db import models


class Import(models.Model):
    class What(models.TextChoices):
        VOLUNTEERS = "volunteers", "volunteers"
        CLEARANCES = "clearances", "clearances"
        HOUSEHOLDS = "households", "households"

    class State(models.TextChoices):
        READ = "read", "read, not taken yet"
        TAKING = "taking", "being taken"
        TAKEN = "taken", "taken"
        UNDONE = "undone", "undone"

    what = models.CharField(max_length=12, choices=What.choices)
    state = models.CharField(max_length=8, choices=State.choices, default=State.READ)
    file_name = models.CharField(max_length=120)
    rows = models.JSONField(default=list)
    bad = models.JSONField(default=list)
    made = models.JSONField(default=list, help_text="Numbers of the rows that were written.")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    trouble = models.CharField(max_length=300, blank=True)
    read_at = models.DateTimeField()
    taken_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"{self.what} from {self.file_name}"
