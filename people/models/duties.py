"""What a person can do at a clinic: data that the admin edits, read often and changed seldom."""

from collections.abc import Iterable
from typing import Any

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from core.once import forget, once

__all__ = ["BUILT_IN", "Duty", "DutyBook", "duties", "duty_words"]

# The code asks for these by name (who leads, who counts as a helper), so they can be reworded and never retired.
BUILT_IN = ("lead", "coach", "stem_lead", "first_aider", "door", "helper")


class Duty(models.Model):
    code = models.SlugField(max_length=20, unique=True, editable=False)
    name = models.CharField(
        _("name"), max_length=40, help_text=_("How it appears in a sentence, such as: first aider.")
    )
    ask = models.CharField(
        _("wording of the request"),
        max_length=60,
        help_text=_("The words after “Can you”, such as: be the first aider."),
    )
    missing = models.CharField(
        _("name when unfilled"),
        max_length=40,
        blank=True,
        help_text=_("The words after “No”. Leave empty to use the name."),
    )
    letter = models.CharField(_("letter"), max_length=1, help_text=_("Shown under its box on the coverage strip."))
    counts = models.BooleanField(
        _("counts as an adult"),
        default=True,
        help_text=_("Uncheck for helpers. They never count toward the adult ratio."),
    )
    rank = models.PositiveSmallIntegerField(
        _("fill order"),
        default=50,
        help_text=_("When you’re short on volunteers, the lowest number is filled first."),
    )
    retired = models.BooleanField(
        _("archived"),
        default=False,
        help_text=_("No longer offered. People who have this duty keep it, and existing shifts stay."),
    )

    class Meta:
        verbose_name_plural = _("duties")
        ordering = ["rank", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(retired=False) | ~Q(code__in=BUILT_IN),
                name="built_in_duties_stay",
            ),
            models.CheckConstraint(
                condition=Q(counts=False) | ~Q(code="helper"),
                name="helpers_never_count",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def save(self, *args: Any, **more: Any) -> None:
        super().save(*args, **more)
        DutyBook.forget()


class DutyBook:
    """All duties by code. A code that is in no row any more still has a readable name."""

    def __init__(self, rows: Iterable[Duty]) -> None:
        self._rows = {row.code: row for row in rows}

    @classmethod
    def forget(cls) -> None:
        forget("duties")

    @classmethod
    def open(cls) -> "DutyBook":
        """The book, read once for each request, job or command."""
        return once("duties", lambda: cls(Duty.objects.all()))

    @property
    def codes(self) -> list[str]:
        """The codes of the duties that are offered, in the order in which they are filled."""
        return [code for code, row in self._rows.items() if not row.retired]

    @property
    def choices(self) -> list[tuple[str, str]]:
        return [(code, self._rows[code].name) for code in self.codes]

    def choices_with(self, held: Iterable[str]) -> list[tuple[str, str]]:
        """The choices and, after them, those of ``held`` that are retired."""
        return [*self.choices, *((code, self.name(code)) for code in held if code not in self.codes)]

    def name(self, code: str) -> str:
        row = self._rows.get(code)
        return row.name if row else code.replace("_", " ")

    def ask(self, code: str) -> str:
        row = self._rows.get(code)
        return row.ask if row else f"be the {self.name(code)}"

    def noun(self, code: str) -> str:
        """What follows "no" when nobody has the duty: no door adult."""
        row = self._rows.get(code)
        return (row.missing or row.name) if row else self.name(code)

    def letter(self, code: str) -> str:
        row = self._rows.get(code)
        return row.letter if row else code[:1].upper()

    def counts(self, code: str) -> bool:
        """Whether somebody on this duty counts as an adult toward a ratio; an unknown duty never does."""
        row = self._rows.get(code)
        return row is not None and row.counts

    def rank(self, code: str) -> int:
        row = self._rows.get(code)
        return row.rank if row else 99


def duties() -> DutyBook:
    return DutyBook.open()


def duty_words(codes: Iterable[str]) -> str:
    """The names of the duties in one line: coach, first aider."""
    book = duties()
    return ", ".join(book.name(code) for code in codes)
