"""What kits ask of the apps above them, which they know nothing of."""

from collections.abc import Collection

from clinics.models import Clinic
from core.hooks import Hook

__all__ = ["needs_of_clinics", "needs_to_pack"]

# Clinic to item to how many what is planned for it needs, beside what its kind of kit counts; a clinic of which
# nothing is planned is not in it. Reads ``spots``. A number of queries that does not grow with clinics.
needs_of_clinics: Hook[[Collection[Clinic]], dict[int, dict[str, int]]] = Hook("kits.needs_of_clinics")


def needs_to_pack(clinics: Collection[Clinic]) -> dict[int, dict[str, int]]:
    """What all who plan say together: of an item that two ask for the larger number, since one thing serves both."""
    most: dict[int, dict[str, int]] = {}
    for answer in needs_of_clinics.ask(clinics):
        for pk, items in answer.items():
            known = most.setdefault(pk, {})
            for item, count in items.items():
                known[item] = max(count, known.get(item, 0))
    return most
