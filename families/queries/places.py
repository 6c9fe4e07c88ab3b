"""Coming clinics as families see them: which ages, how many places are free, and who waits where."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Count, QuerySet

from clinics.models import Center, Clinic, Status
from families.models import Place, Registration
from families.rules.places import Band, band_of, free_places
from people.rules.ages import age_on

__all__ = [
    "AskedPlace",
    "BandLine",
    "Coming",
    "asked_places",
    "bands_of",
    "centers_open_to_families",
    "next_fitting",
    "open_to_families",
    "with_places",
]


@dataclass(frozen=True)
class BandLine:
    youngest: int
    oldest: int
    free: int
    waiting: int

    @property
    def open(self) -> bool:
        """A child who is registered now has a place: one is free, and no one waited for it first."""
        return self.free > 0 and self.waiting == 0


@dataclass(frozen=True)
class Coming:
    clinic: Clinic
    bands: list[BandLine]

    def band_for(self, born: date) -> BandLine | None:
        day = self.clinic.day
        if born > day:
            return None
        age = age_on(born, day)
        return next((band for band in self.bands if band.youngest <= age <= band.oldest), None)


def open_to_families(now: datetime) -> QuerySet[Clinic]:
    """Confirmed clinics that have not begun and take families, soonest first."""
    rows = Clinic.objects.filter(status=Status.CONFIRMED, takes_families=True, starts_at__gt=now, bands__isnull=False)
    found: QuerySet[Clinic] = rows.distinct().select_related("center").prefetch_related("bands")
    return found.order_by("starts_at", "pk")


def centers_open_to_families(now: datetime) -> QuerySet[Center]:
    """The centers that have a clinic open to families."""
    return Center.objects.filter(
        pk__in=Clinic.objects.filter(status=Status.CONFIRMED, takes_families=True, starts_at__gt=now).values("center")
    )


def with_places(clinics: Iterable[Clinic]) -> list[Coming]:
    """Count free places and waiting children of each clinic's bands. One query for all clinics; reads ``bands``."""
    rows = list(clinics)
    counts = (
        Place.objects.live().filter(clinic__in=rows).values_list("clinic", "state", "age").annotate(number=Count("pk"))
    )
    by_state: dict[tuple[int, str], Counter[int]] = defaultdict(Counter)
    for clinic, state, age, number in counts.order_by():
        by_state[clinic, state][age] += number
    out = []
    for clinic in rows:
        bands = sorted(Band(band.youngest, band.oldest, band.children) for band in clinic.bands.all())
        waiting = by_state[clinic.pk, "waiting"]
        lines = [
            BandLine(
                band.youngest,
                band.oldest,
                free,
                sum(number for age, number in waiting.items() if band.youngest <= age <= band.oldest),
            )
            for band, free in free_places(bands, by_state[clinic.pk, "held"]).items()
        ]
        out.append(Coming(clinic, lines))
    return out


def next_fitting(coming: Sequence[Coming], born: date, *, but_for: Clinic) -> Coming | None:
    """The soonest of ``coming``, ``but_for`` apart, where a child born on ``born`` fits and has a place at once."""
    for one in coming:
        if one.clinic.pk == but_for.pk:
            continue
        band = one.band_for(born)
        if band is not None and band.open:
            return one
    return None


@dataclass(frozen=True)
class AskedPlace:
    """``number``: how many wait up to and including this child, in its age band; 0 when it does not wait."""

    place: Place
    number: int

    @property
    def given_name(self) -> str:
        return self.place.child.given_name


def asked_places(registration: Registration) -> list[AskedPlace]:
    """The places that one sending of the form asked for. Two queries."""
    clinic = registration.clinic
    bands = [Band(band.youngest, band.oldest, band.children) for band in clinic.bands.all()]
    waiting = list(Place.objects.waiting().filter(clinic=clinic).values_list("pk", "age"))
    out = []
    for place in Place.objects.asked_in(registration).select_related("child").order_by("pk"):
        band, number = band_of(place.age, bands), 0
        for pk, age in waiting if place.state == "waiting" else []:
            if band is None or band.youngest <= age <= band.oldest:
                number += 1
            if pk == place.pk:
                break
        out.append(AskedPlace(place, number))
    return out


def bands_of(clinic: Clinic) -> list[Band]:
    """The clinic's age bands, the youngest first; reads ``bands``."""
    return sorted(Band(band.youngest, band.oldest, band.children) for band in clinic.bands.all())
