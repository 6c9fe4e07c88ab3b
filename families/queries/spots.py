"""Coming clinics as families see them: which ages, how many spots are free, and who waits where."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Count, QuerySet

from clinics.models import Center, Clinic, Status
from families.models import Registration, Spot
from families.rules.spots import Band, band_of, free_spots
from people.rules.ages import age_on

__all__ = [
    "AskedSpot",
    "BandLine",
    "Coming",
    "asked_spots",
    "bands_of",
    "centers_open_to_families",
    "next_fitting",
    "open_to_families",
    "with_spots",
]


@dataclass(frozen=True)
class BandLine:
    youngest: int
    oldest: int
    free: int
    waiting: int

    @property
    def open(self) -> bool:
        """A child who is registered now has a spot: one is free, and no one waited for it first."""
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


def with_spots(clinics: Iterable[Clinic]) -> list[Coming]:
    """Count free spots and waiting children of each clinic's bands. One query for all clinics; reads ``bands``."""
    rows = list(clinics)
    counts = (
        Spot.objects.live().filter(clinic__in=rows).values_list("clinic", "state", "age").annotate(number=Count("pk"))
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
            for band, free in free_spots(bands, by_state[clinic.pk, "held"]).items()
        ]
        out.append(Coming(clinic, lines))
    return out


def next_fitting(coming: Sequence[Coming], born: date, *, but_for: Clinic) -> Coming | None:
    """The soonest of ``coming``, ``but_for`` apart, where a child born on ``born`` fits and has a spot at once."""
    for one in coming:
        if one.clinic.pk == but_for.pk:
            continue
        band = one.band_for(born)
        if band is not None and band.open:
            return one
    return None


@dataclass(frozen=True)
class AskedSpot:
    """``number``: how many wait up to and including this child, in its age band; 0 when it does not wait."""

    spot: Spot
    number: int

    @property
    def given_name(self) -> str:
        return self.spot.child.given_name


def asked_spots(registration: Registration) -> list[AskedSpot]:
    """The spots that one sending of the form asked for. Two queries."""
    clinic = registration.clinic
    bands = [Band(band.youngest, band.oldest, band.children) for band in clinic.bands.all()]
    waiting = list(Spot.objects.waiting().filter(clinic=clinic).values_list("pk", "age"))
    out = []
    for spot in Spot.objects.asked_in(registration).select_related("child").order_by("pk"):
        band, number = band_of(spot.age, bands), 0
        for pk, age in waiting if spot.state == "waiting" else []:
            if band is None or band.youngest <= age <= band.oldest:
                number += 1
            if pk == spot.pk:
                break
        out.append(AskedSpot(spot, number))
    return out


def bands_of(clinic: Clinic) -> list[Band]:
    """The clinic's age bands, the youngest first; reads ``bands``."""
    return sorted(Band(band.youngest, band.oldest, band.children) for band in clinic.bands.all())
