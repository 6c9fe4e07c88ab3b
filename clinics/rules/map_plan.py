"""A plan of some places without a map behind it: where each mark and its label stand, and how long a kilometer is.

The drawing is equirectangular and takes its east-west measure at the middle latitude: within 1 % over a county
(checked against great circles in tests/reference/test_map_plan.py). A label goes beside, above or below its mark,
wherever it covers least: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import cos, floor, hypot, log10, pi, radians, sin

from clinics.rules.distance import EARTH_RADIUS_KM

__all__ = ["Location", "MapPlan", "Mark", "area_point", "nice_km", "plan_map", "ring_distances", "ring_word"]

KM_PER_DEGREE = EARTH_RADIUS_KM * pi / 180
# One place alone, or two next door, are still shown with this much around them.
LEAST_KM = 4.0
HALF_MARK = 11.0
LINE = 18.0
# Width of a letter of 14 px in the house's typeface, on the large side; from memory.
LETTER = 7.6
MOST_LABELS = 60
ROUNDS = 6
TURNS = [2 * pi * step / 16 for step in range(16)]
# Above first, then to both sides, below last.
RING_TURNS = sorted(TURNS, key=lambda turn: -cos(turn))


@dataclass(frozen=True, slots=True)
class Location:
    """A place to draw. Without a ``label`` only its mark is drawn; a ``loose`` one may step aside a little."""

    key: str
    label: str
    latitude: float
    longitude: float
    loose: bool = False


@dataclass(frozen=True, slots=True)
class Mark:
    key: str
    label: str
    x: float
    y: float
    label_x: float
    label_y: float
    anchor: str  # start, middle or end, as SVG's text-anchor


@dataclass(frozen=True, slots=True)
class MapPlan:
    width: float
    height: float
    marks: tuple[Mark, ...]
    units_per_km: float
    bar_km: float

    @property
    def bar_units(self) -> float:
        return round(self.bar_km * self.units_per_km, 1)

    def mark(self, key: str) -> Mark:
        return next(mark for mark in self.marks if mark.key == key)


Box = tuple[float, float, float, float]  # left, top, right, bottom


def plan_map(
    locations: Sequence[Location], width: float = 680, most_height: float = 620, margin: float = 44
) -> MapPlan:
    """Plan a sheet of all locations, ``width`` wide and at most ``most_height`` high in its own units, north up.

    Raises ValueError when there is no location, and for a location that is not on the earth.
    """
    if not locations:
        raise ValueError("There is no place to draw.")
    for location in locations:
        if not (-90 <= location.latitude <= 90 and -180 <= location.longitude <= 180):
            raise ValueError(f"{location.key} is not on the earth.")
    # Counted from the first place, so that the line where the date changes tears nothing apart.
    east = [(location.longitude - locations[0].longitude + 540) % 360 - 180 for location in locations]
    north = [location.latitude for location in locations]
    middle = (min(north) + max(north)) / 2
    xs = [degrees * cos(radians(middle)) * KM_PER_DEGREE for degrees in east]
    ys = [-degrees * KM_PER_DEGREE for degrees in north]
    wide, high = max(max(xs) - min(xs), LEAST_KM), max(max(ys) - min(ys), LEAST_KM / 2)
    scale = min((width - 2 * margin) / wide, (most_height - 2 * margin) / high)
    height = high * scale + 2 * margin
    mid_x, mid_y = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
    at = [(width / 2 + (x - mid_x) * scale, height / 2 + (y - mid_y) * scale) for x, y in zip(xs, ys, strict=True)]
    at = _apart(locations, at, width, height)
    labels = _place_labels(locations, at, width, height)
    marks = tuple(
        Mark(location.key, location.label, round(x, 1), round(y, 1), round(lx, 1), round(ly, 1), anchor)
        for location, (x, y), (lx, ly, anchor) in zip(locations, at, labels, strict=True)
    )
    return MapPlan(width, round(height, 1), marks, scale, nice_km(width / 4 / scale))


def nice_km(most: float) -> float:
    """The longest of 1, 2, 5, 10, 20, 50 ... km (or a tenth of these) that is not more than ``most``.

    Raises ValueError when ``most`` is not above 0.
    """
    if most <= 0:
        raise ValueError("A distance to round is more than nothing.")
    power = 10.0 ** floor(log10(most))
    return float(next(step * power for step in (5, 2, 1) if step * power <= most * (1 + 1e-9)))


def ring_distances(farthest_km: float) -> list[float]:
    """The radii in km of three to seven rings, evenly apart, that end before the farthest place."""
    step = nice_km(max(farthest_km, 0.5) / 3)
    rings = [step * number for number in range(1, 8) if step * number <= max(farthest_km, 0.5)]
    return [round(km, 3) for km in rings]


def area_point(points: Iterable[tuple[float, float]]) -> tuple[float, float]:
    """The middle of some homes, rounded to 0.01 degrees (about 1 km), so that nobody can read a home off it.

    Raises ValueError when there is no home.
    """
    known = list(points)
    if not known:
        raise ValueError("There is no home to take the middle of.")
    first = known[0][1]
    east = sum((longitude - first + 540) % 360 - 180 for _, longitude in known) / len(known) + first
    return round(sum(latitude for latitude, _ in known) / len(known), 2), round((east + 540) % 360 - 180, 2)


def ring_word(plan: MapPlan, x: float, y: float, radius: float, words: str) -> tuple[float, float] | None:
    """Find the point on a ring around (``x``, ``y``) where the words of its distance cover least.

    None when the words fit on the sheet nowhere.
    """
    half = len(words) * LETTER / 2
    taken = [_label_box(mark) for mark in plan.marks if mark.label]
    taken += [_around(mark.x, mark.y) for mark in plan.marks]
    best: tuple[float, float, float] | None = None
    for turn in RING_TURNS:
        across, down = x + radius * sin(turn), y - radius * cos(turn)
        box = (across - half, down - LINE / 2, across + half, down + LINE / 2)
        if _outside(box, plan.width, plan.height) > 0:
            continue
        cost = sum(_shared(box, one) for one in taken)
        if best is None or cost < best[0]:
            best = (cost, round(across, 1), round(down, 1))
    return None if best is None else best[1:]


def _apart(
    locations: Sequence[Location], at: Sequence[tuple[float, float]], width: float, height: float
) -> list[tuple[float, float]]:
    """Loose marks step aside by the least that keeps them off every other; the others stay where they are."""
    found = list(at)
    done = [number for number, location in enumerate(locations) if not location.loose]
    for number, location in enumerate(locations):
        if not location.loose:
            continue
        x, y = at[number]
        steps = [(0.0, 0.0)] + [(far, turn) for far in range(6, 49, 6) for turn in TURNS]
        for far, turn in steps:
            place = x + far * sin(turn), y - far * cos(turn)
            near = any(
                hypot(place[0] - found[other][0], place[1] - found[other][1]) < 2 * HALF_MARK + 3 for other in done
            )
            if not near and _outside(_around(*place), width, height) == 0:
                found[number] = place
                break
        done.append(number)
    return found


def _around(x: float, y: float) -> Box:
    return x - HALF_MARK, y - HALF_MARK, x + HALF_MARK, y + HALF_MARK


def _label_box(mark: Mark) -> Box:
    long = len(mark.label) * LETTER
    left = mark.label_x - {"start": 0.0, "middle": long / 2, "end": long}[mark.anchor]
    return left, mark.label_y - 5 - LINE / 2, left + long, mark.label_y - 5 + LINE / 2


def _place_labels(
    locations: Sequence[Location], at: Sequence[tuple[float, float]], width: float, height: float
) -> list[tuple[float, float, str]]:
    """A place for each label; every round each label moves to where it covers least, until none moves."""
    offers = [_offers(x, y, len(location.label) * LETTER) for location, (x, y) in zip(locations, at, strict=True)]
    marks = [_around(x, y) for x, y in at]
    labelled = [number for number, location in enumerate(locations) if location.label][:MOST_LABELS]
    chosen = [0] * len(locations)
    for _ in range(ROUNDS):
        moved = False
        for number in labelled:
            others = [offers[other][chosen[other]][0] for other in labelled if other != number]
            around = [*others, *(mark for other, mark in enumerate(marks) if other != number)]
            costs = [
                sum(_shared(box, one) for one in around) + 20 * _outside(box, width, height) + place
                for place, (box, *_) in enumerate(offers[number])
            ]
            best = costs.index(min(costs))
            moved |= best != chosen[number]
            chosen[number] = best
        if not moved:
            break
    return [offers[number][place][1:] for number, place in enumerate(chosen)]


def _offers(x: float, y: float, long: float) -> list[tuple[Box, float, float, str]]:
    """Boxes for a label around its mark, the likeliest first, each with where its text begins and how."""
    gap, base = HALF_MARK + 5, 5.0
    found: list[tuple[Box, float, float, str]] = []
    for side, shift in [(1, 0), (-1, 0), (1, -13), (1, 13), (-1, -13), (-1, 13)]:
        left = x + gap if side > 0 else x - gap - long
        top = y + shift - LINE / 2
        found.append(
            ((left, top, left + long, top + LINE), x + side * gap, y + shift + base, "start" if side > 0 else "end")
        )
    for step in (1.0, 2.0):
        for up in (1, -1):
            for lean, anchor in ((0.5, "middle"), (0.12, "start"), (0.88, "end")):
                middle = y + up * (HALF_MARK + LINE * (step - 0.4))
                left = x - long * lean
                begin = {"middle": x, "start": left, "end": left + long}[anchor]
                found.append(((left, middle - LINE / 2, left + long, middle + LINE / 2), begin, middle + base, anchor))
    return found


def _shared(one: Box, other: Box) -> float:
    across = min(one[2], other[2]) - max(one[0], other[0])
    down = min(one[3], other[3]) - max(one[1], other[1])
    return across * down if across > 0 and down > 0 else 0.0


def _outside(box: Box, width: float, height: float) -> float:
    left, top, right, bottom = box
    return max(0, 2 - left) + max(0, right - width + 2) + max(0, 2 - top) + max(0, bottom - height + 2)
