"""Who might be the same person: by email address, by phone, and by a name that is close."""

import re
from dataclasses import dataclass

from django.contrib.postgres.search import TrigramSimilarity
from django.utils.translation import gettext_lazy as _

from people.models import Volunteer

__all__ = ["Twin", "likely_duplicates"]

ALIKE = {"email": _("same email"), "phone": _("same phone"), "name": _("similar name")}

# pg_trgm's own default is 0.3; names are short, so closer is asked for. Common practice, no source.
CLOSE = 0.45
MOST = 10


@dataclass(frozen=True)
class Twin:
    """Another volunteer, and the codes of what is alike, keys of ``ALIKE``."""

    volunteer: Volunteer
    why: list[str]

    @property
    def words(self) -> str:
        return ", ".join(str(ALIKE[one]) for one in self.why)


def likely_duplicates(*, name: str, email: str, phone: str, but_for: int | None = None) -> list[Twin]:
    """Volunteers who may be the same person, surest first. Two queries."""
    digits = re.sub(r"\D", "", phone)
    found: dict[int, Twin] = {}
    rows = Volunteer.objects.all()
    if but_for is not None:
        rows = rows.exclude(pk=but_for)
    close = rows.annotate(close=TrigramSimilarity("name", name)).filter(close__gte=CLOSE).order_by("-close")[:MOST]
    for one in rows.filter(email__iexact=email):
        found[one.pk] = Twin(one, ["email"])
    if len(digits) >= 7:
        for one in rows.filter(phone__regex=r"[0-9]").only("pk", "name", "email", "phone", "left_on"):
            if re.sub(r"\D", "", one.phone) == digits:
                found.setdefault(one.pk, Twin(one, [])).why.append("phone")
    for one in close:
        found.setdefault(one.pk, Twin(one, [])).why.append("name")
    return sorted(found.values(), key=lambda twin: (-len(twin.why), twin.volunteer.name))[:MOST]
