"""Saving a form when another person may have saved the same thing a moment before."""

from collections.abc import Callable
from typing import Any

from django.db import IntegrityError, transaction
from django.forms import BaseInlineFormSet, ModelForm

__all__ = ["saved_or_refused", "saved_with_rows"]


def saved_or_refused(form: ModelForm, also: Callable[[Any], object] | None = None) -> Any | None:
    """Save a valid form and return what it saved; when another person was faster, say so in the form and return None.

    ``also`` is called with the row in the same transaction. Raises IntegrityError when the form's own checks find no
    twin of the row.
    """
    try:
        with transaction.atomic():
            row = form.save()
            if also is not None:
                also(row)
            return row
    except IntegrityError:
        form.full_clean()
        if form.is_valid():
            raise
        return None


def saved_with_rows(form: ModelForm, rows: BaseInlineFormSet) -> Any | None:
    """Save a valid form together with the rows below it, both or neither, and return what the form saved.

    When another person was faster, say so in the form or row concerned and return None; see ``saved_or_refused``.
    """
    try:
        with transaction.atomic():
            row = form.save()
            rows.instance = row
            rows.save()
        return row
    except IntegrityError:
        form.full_clean()
        rows.full_clean()
        if form.is_valid() and rows.is_valid():
            raise
        return None
