"""Swaps that wait for the office, and who stands by."""

from django.db.models import QuerySet

from shifts.models import Swap

__all__ = ["open_swaps"]


def open_swaps() -> QuerySet[Swap]:
    """Swaps that both volunteers have agreed on and that wait for the office."""
    rows = Swap.objects.filter(state=Swap.State.AGREED)
    return rows.select_related("to", "assignment__volunteer", "assignment__shift__clinic__center")
