"""A file that was checked but not imported yet, and what was imported from it, so that it can be undone."""

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _


class Import(models.Model):
    class What(models.TextChoices):
        VOLUNTEERS = "volunteers", _("volunteers")
        CLEARANCES = "clearances", _("clearances")
        HOUSEHOLDS = "households", _("families")

    class State(models.TextChoices):
        READ = "read", _("checked, not imported yet")
        TAKING = "taking", _("importing")
        TAKEN = "taken", _("imported")
        UNDONE = "undone", _("import undone")

    what = models.CharField(max_length=12, choices=What.choices)
    state = models.CharField(max_length=8, choices=State.choices, default=State.READ)
    file_name = models.CharField(max_length=120)
    rows = models.JSONField(default=list)
    bad = models.JSONField(default=list)
    made = models.JSONField(default=list, help_text=_("Numbers of the rows that were written."))
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    trouble = models.CharField(max_length=300, blank=True)
    read_at = models.DateTimeField()
    taken_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"{self.what} from {self.file_name}"
