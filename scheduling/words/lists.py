"""Names in a row inside a sentence."""

from collections.abc import Sequence

from django.utils.translation import gettext

__all__ = ["all_of"]


def all_of(names: Sequence[str]) -> str:
    """Write "A", "A and B", or "A, B, and C"."""
    if len(names) == 1:
        return names[0]
    if len(names) == 2:
        return gettext("%(first)s and %(second)s") % {"first": names[0], "second": names[1]}
    return gettext("%(names)s, and %(last)s") % {"names": ", ".join(names[:-1]), "last": names[-1]}
