"""A record that something was deleted, and how much of it: never what."""

from django.db import models


class Purge(models.Model):
    at = models.DateTimeField()
    what = models.CharField(max_length=60)
    count = models.PositiveIntegerField()

    class Meta:
        ordering = ["-at"]

    def __str__(self) -> str:
        return f"{self.count} {self.what}"
