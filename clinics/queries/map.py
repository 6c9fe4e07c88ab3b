"""Centers, and the areas in which volunteers live, as a drawing and as words. Never a home, never a name."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import count

from django.utils.translation import gettext

from clinics.models import Center
from clinics.rules.distance import great_circle_km
from clinics.rules.map_plan import (
    Location,
    MapPlan,
    Mark,
    area_point,
    plan_map,
    ring_distances,
    ring_word,
)
from core.formats import counted
from people.models import Volunteer

__all__ = ["CentersMap", "MapPoint", "centers_map"]

# What a sheet holds; the rest stands in words.
MOST_AREAS = 40
NARROW, NARROW_HEIGHT, NARROW_MARGIN = 358, 460, 22


@dataclass(frozen=True)
class MapPoint:
    """One center or home area. ``km`` is its distance from the chosen center, in a straight line."""

    key: str
    name: str
    point: tuple[float, float] | None
    center: Center | None = None
    people: int = 0
    km: float | None = None

    @property
    def words(self) -> str:
        return self.name if self.center else f"{self.name} · {counted(self.people, 'volunteer')}"


@dataclass(frozen=True)
class Ring:
    radius: float
    km: float
    word: str
    at: tuple[float, float] | None


@dataclass(frozen=True)
class Sheet:
    """One drawing. The narrow one shows keys only; the list says what they mean."""

    plan: MapPlan
    marks: list[tuple[Mark, MapPoint]]
    here: Mark | None
    rings: list[Ring]


@dataclass(frozen=True)
class CentersMap:
    centers: list[MapPoint]
    areas: list[MapPoint]
    unplaced: list[Center]
    unplaced_people: int
    chosen: MapPoint | None
    wide: Sheet | None
    narrow: Sheet | None
    by_distance: list[MapPoint] = field(default_factory=list)


def centers_map(chosen: int | None, with_people: bool) -> CentersMap:
    """Read the map of centers, with distances from the center whose number is ``chosen``, if any. Two queries.

    ``with_people`` says whether the reader may know where volunteers live, however roughly.
    """
    known = list(Center.objects.active().order_by("name"))
    placed = [center for center in known if center.point is not None]
    centers = [MapPoint(str(number), center.name, center.point, center) for number, center in enumerate(placed, 1)]
    areas, lost = _areas() if with_people else ([], 0)
    drawn = [*centers, *areas[:MOST_AREAS]]
    here = next((row for row in centers if row.center and row.center.pk == chosen), None)
    others = [_with_km(row, here) for row in [*centers, *areas] if row is not here] if here else []
    others.sort(key=lambda row: (row.km or 0, row.name))
    return CentersMap(
        centers=centers,
        areas=areas,
        unplaced=[center for center in known if center.point is None],
        unplaced_people=lost,
        chosen=here,
        wide=_sheet(drawn, here, others, 680, 620, 44, names=True),
        narrow=_sheet(drawn, here, others, NARROW, NARROW_HEIGHT, NARROW_MARGIN, names=False),
        by_distance=others,
    )


def _areas() -> tuple[list[MapPoint], int]:
    """Areas by name, each with its active volunteers, and how many volunteers no area could be drawn for."""
    names: dict[str, Counter[str]] = {}
    points: dict[str, list[tuple[float, float]]] = {}
    rows = Volunteer.objects.active().values_list("home_area", "latitude", "longitude")
    lost = 0
    for area, latitude, longitude in rows:
        # Someone may have typed a street and number where an area was asked for.
        name = " ".join(area.split())
        if not name or any(sign.isdecimal() for sign in name):
            lost += 1
            continue
        names.setdefault(name.casefold(), Counter())[name] += 1
        if latitude is not None and longitude is not None:
            points.setdefault(name.casefold(), []).append((latitude, longitude))
    found = []
    letters = _letters()
    for key in sorted(names):
        if key not in points:
            lost += names[key].total()
            continue
        found.append((names[key].most_common(1)[0][0], area_point(points[key]), names[key].total()))
    found.sort(key=lambda area: (-area[2], area[0]))
    return [MapPoint(next(letters), name, point, people=people) for name, point, people in found], lost


def _letters() -> Iterator[str]:
    """A, B, ... Z, A2, B2, ..."""
    for turn in count(1):
        for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ":
            yield letter if turn == 1 else f"{letter}{turn}"


def _with_km(row: MapPoint, here: MapPoint) -> MapPoint:
    assert row.point is not None and here.point is not None
    return MapPoint(row.key, row.name, row.point, row.center, row.people, great_circle_km(*here.point, *row.point))


def _sheet(
    rows: list[MapPoint],
    here: MapPoint | None,
    others: list[MapPoint],
    width: float,
    height: float,
    margin: float,
    names: bool,
) -> Sheet | None:
    if not rows:
        return None
    locations = [
        Location(row.key, row.words if names else "", *row.point, loose=row.center is None)
        for row in rows
        if row.point is not None
    ]
    plan = plan_map(locations, width, height, margin)
    middle = plan.mark(here.key) if here else None
    rings = []
    if middle is not None and others:
        for km in ring_distances(max(row.km or 0 for row in others)):
            radius = round(km * plan.units_per_km, 1)
            word = gettext("%(km)g km") % {"km": km}
            rings.append(Ring(radius, km, word, ring_word(plan, middle.x, middle.y, radius, word)))
    return Sheet(plan, list(zip(plan.marks, rows, strict=True)), middle, rings)
