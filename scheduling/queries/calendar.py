"""What the calendar shows: spaces by week, clinics by month, and one day. A constant number of queries each."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet
from django.urls import reverse
from django.utils.translation import gettext

from clinics.models import Center, Clinic, ClinicQuerySet, ClosedDays, OpenHours, Space, Status
from core import clock
from core.formats import clock_time as hours
from core.formats import span, weekday_short
from scheduling.models import SET_UP, TAKE_DOWN, Booking
from scheduling.rules.calendar_days import Part, clock_change, month_weeks, part_of_day, week_of
from shifts.queries.strips import Strip, strips

__all__ = [
    "Cell",
    "Entry",
    "MonthDay",
    "WeekRow",
    "calendar_day",
    "calendar_month",
    "calendar_week",
    "closed_on",
    "day_clinics",
    "week_centers",
]

LINES_IN_A_DAY = 4
DAY = timedelta(days=1)
# Wall clocks lie up to 14 hours from UTC, and a hold reaches over its clinic on both sides.
EDGE = timedelta(days=1)


@dataclass(frozen=True)
class Entry:
    """One clinic on one day; ``held`` and ``clinic_part`` are where it lies on that day's clock."""

    clinic: Clinic
    booking: Booking | None
    strip: Strip
    clinic_part: Part | None = None
    held: Part | None = None

    @property
    def href(self) -> str:
        return reverse("clinic", args=[self.clinic.pk])

    @property
    def when(self) -> str:
        """The clinic's hours, such as 09:30 to 11:30, with the weekday of a start or end beyond midnight.

        When only its hold touches the day, with the weekday of the clinic.
        """
        start, end = self.clinic.local_start, self.clinic.local_end
        part = self.clinic_part
        elsewhere = part is None and self.held is not None
        before = f"{weekday_short(start)} " if elsewhere or (part and part.from_before) else ""
        after = f"{weekday_short(end)} " if part and part.into_next else ""
        return gettext("%(start)s to %(end)s") % {"start": f"{before}{hours(start)}", "end": f"{after}{hours(end)}"}

    @property
    def starts(self) -> str:
        return hours(self.clinic.local_start)

    @property
    def held_words(self) -> str:
        if self.booking is None or self.booking.status == Status.CANCELLED:
            return gettext("no space reserved")
        held = span(self.booking.period.lower, self.booking.period.upper, self.clinic.center.tz)
        return gettext("reserved %(hours)s") % {"hours": held}

    @property
    def flag(self) -> str:
        """The kind of flag that goes with the status's word."""
        return {Status.CONFIRMED: "set", Status.TENTATIVE: "due", Status.CANCELLED: "stop"}[Status(self.clinic.status)]

    @property
    def zone(self) -> str:
        """The center's zone; "" when it is the organization's own."""
        return away_zone(self.clinic.center)


@dataclass(frozen=True)
class Cell:
    """One space on one day. ``bars`` are (x, width, kind) on a line of 96 quarters of an hour."""

    day: date
    entries: list[Entry]
    closed: str = ""
    change: str = ""

    @property
    def bars(self) -> list[tuple[float, float, str]]:
        held = [(entry.held, "held") for entry in self.entries if entry.held]
        clinic = [(entry.clinic_part, "clinic") for entry in self.entries if entry.clinic_part]
        return [(part.begins / 15, (part.ends - part.begins) / 15, kind) for part, kind in (*held, *clinic)]


@dataclass(frozen=True)
class WeekRow:
    """One floor's week; ``space`` is None for clinics of a center that hold no floor."""

    center: Center
    space: Space | None
    cells: list[Cell]
    first_of_center: bool
    zone: str


@dataclass
class MonthDay:
    day: date
    in_month: bool
    entries: list[Entry] = field(default_factory=list)
    more: int = 0
    closed: list[str] = field(default_factory=list)

    @property
    def total(self) -> int:
        return len(self.entries) + self.more


def away_zone(center: Center) -> str:
    return center.time_zone if center.time_zone != clock.home_zone().key else ""


def _window(first: date, last: date) -> tuple[datetime, datetime]:
    """Instants that hold every wall clock's ``first`` through ``last``."""
    start = datetime.combine(first, time(), UTC) - EDGE
    return start, datetime.combine(last, time(), UTC) + DAY + EDGE


def _clinics(first: date, last: date, cancelled: bool) -> ClinicQuerySet:
    start, end = _window(first, last)
    rows = Clinic.objects.filter(starts_at__lt=end, ends_at__gt=start)
    return rows if cancelled else rows.live()


def _entries(clinics: Iterable[Clinic]) -> list[Entry]:
    """With the hold that counts (a live one, else the last) and the strip of each."""
    rows = list(clinics)
    found, _ = strips(rows)
    held: dict[int, Booking] = {}
    for booking in Booking.objects.filter(clinic__in=rows).select_related("space").order_by("pk"):
        known = held.get(booking.clinic_id)
        if known is None or known.status == Status.CANCELLED or booking.status != Status.CANCELLED:
            held[booking.clinic_id] = booking
    return [Entry(row, held.get(row.pk), found.get(row.pk, Strip())) for row in rows]


def _on(entry: Entry, day: date, tz: ZoneInfo) -> Entry | None:
    """The entry as it lies on ``day``: None when neither the clinic nor its hold touches that day."""
    clinic, booking = entry.clinic, entry.booking
    live = booking is not None and booking.status != Status.CANCELLED
    lower = booking.period.lower if booking and live else clinic.starts_at
    upper = booking.period.upper if booking and live else clinic.ends_at
    held = part_of_day(lower, upper, day, tz)
    if held is None:
        return None
    part = part_of_day(clinic.starts_at, clinic.ends_at, day, tz)
    return Entry(clinic, booking, entry.strip, part, held if live else None)


def _closed(centers: Sequence[Center], first: date, last: date) -> dict[tuple[int, date], str]:
    """Why a center is closed on a day: its closed days, and weekdays for which it has given no hours."""
    found: dict[tuple[int, date], str] = {}
    opened: dict[int, set[int]] = defaultdict(set)
    for center, weekday in OpenHours.objects.filter(center__in=centers).values_list("center", "weekday"):
        opened[center].add(weekday)
    days = [first + DAY * number for number in range((last - first).days + 1)]
    for center, weekdays in opened.items():
        found |= {(center, day): gettext("closed") for day in days if day.weekday() not in weekdays}
    for row in ClosedDays.objects.filter(center__in=centers, first_day__lte=last, last_day__gte=first):
        words = gettext("closed: %(why)s") % {"why": row.why} if row.why else gettext("closed")
        found |= {(row.center_id, day): words for day in days if row.first_day <= day <= row.last_day}
    return found


def calendar_week(centers: Sequence[Center], day: date, *, cancelled: bool) -> list[WeekRow]:
    """The week of ``day`` for each space of ``centers`` (with spaces prefetched). Seven queries."""
    days = week_of(day)
    rows = _clinics(days[0], days[-1], cancelled).filter(center__in=centers).select_related("center")
    entries = _entries(rows.order_by("starts_at", "pk"))
    by_place: dict[tuple[int, int | None], list[Entry]] = defaultdict(list)
    for entry in entries:
        held = entry.booking.space_id if entry.booking and entry.booking.status != Status.CANCELLED else None
        if held is None and entry.booking and not entry.clinic.live:
            held = entry.booking.space_id
        by_place[entry.clinic.center_id, held].append(entry)
    closed = _closed(centers, days[0], days[-1])
    found = []
    for center in centers:
        zone = away_zone(center)
        places: list[Space | None] = [s for s in center.spaces.all() if s.active or (center.pk, s.pk) in by_place]
        if (center.pk, None) in by_place or not places:
            places.append(None)
        for number, space in enumerate(places):
            own = by_place[center.pk, space.pk if space else None]
            cells = [
                Cell(
                    one,
                    [on for row in own if (on := _on(row, one, center.tz)) is not None],
                    closed.get((center.pk, one), ""),
                    clock_change(one, center.tz) if zone and number == 0 else "",
                )
                for one in days
            ]
            found.append(WeekRow(center, space, cells, number == 0, zone))
    return found


def week_centers(day: date, *, busy: bool, chosen: Center | None) -> QuerySet[Center]:
    """Centers that the week may show, by name; with ``busy`` only those with a clinic in it. The caller pages them."""
    rows = Center.objects.prefetch_related("spaces").order_by("name")
    days = week_of(day)
    start, end = _window(days[0], days[-1])
    in_week = Clinic.objects.live().filter(starts_at__lt=end, ends_at__gt=start)
    if chosen is not None:
        return rows.filter(pk=chosen.pk)
    if busy:
        return rows.filter(pk__in=in_week.values("center"))
    return rows.filter(Q(active=True) | Q(pk__in=in_week.values("center")))


def calendar_month(day: date, *, center: Center | None, cancelled: bool) -> list[list[MonthDay]]:
    """The weeks of the month of ``day``, each day with its first clinics and how many more there are.

    Reads strips only for the clinics that it shows.
    """
    weeks = month_weeks(day)
    first, last = weeks[0][0], weeks[-1][-1]
    sheet = {one: MonthDay(one, one.month == day.month) for week in weeks for one in week}
    rows = _clinics(first, last, cancelled).order_by("starts_at", "pk")
    if center is not None:
        rows = rows.filter(center=center)
    zones: dict[str, ZoneInfo] = {}
    shown: dict[int, date] = {}
    counts: Counter[date] = Counter()
    for pk, starts_at, name in rows.values_list("pk", "starts_at", "center__time_zone"):
        tz = zones.get(name) or zones.setdefault(name, ZoneInfo(name))
        on = sheet.get(starts_at.astimezone(tz).date())
        if on is None:
            continue
        if counts[on.day] < LINES_IN_A_DAY:
            shown[pk] = on.day
            counts[on.day] += 1
        else:
            on.more += 1
    wanted = Clinic.objects.filter(pk__in=shown).select_related("center").order_by("starts_at", "pk")
    for entry in _entries(wanted):
        sheet[shown[entry.clinic.pk]].entries.append(entry)
    if center is not None:
        for (_, one), why in _closed([center], first, last).items():
            sheet[one].closed.append(why)
    else:
        for row in ClosedDays.objects.filter(first_day__lte=last, last_day__gte=first, center__active=True):
            at = max(row.first_day, first)
            while at <= min(row.last_day, last):
                sheet[at].closed.append("")
                at += DAY
    return [[sheet[one] for one in week] for week in weeks]


def day_clinics(day: date, *, center: Center | None, cancelled: bool) -> list[Entry]:
    """Every clinic whose hours or hold touch ``day`` at its center, soonest first; ``calendar_day`` adds strips."""
    rows = _clinics(day, day, cancelled).select_related("center").order_by("starts_at", "pk")
    if center is not None:
        rows = rows.filter(center=center)
    return [Entry(row, None, Strip()) for row in rows if _touches(row, day)]


def _touches(clinic: Clinic, day: date) -> bool:
    reach = (clinic.starts_at - SET_UP, clinic.ends_at + TAKE_DOWN)
    return part_of_day(*reach, day, clinic.center.tz) is not None


def calendar_day(entries: Sequence[Entry], day: date) -> list[Cell]:
    """One cell for each clinic of the page, with its hold, its strip and why its center is closed."""
    full = _entries([entry.clinic for entry in entries])
    closed = _closed([entry.clinic.center for entry in entries], day, day)
    cells = []
    for entry in full:
        on = _on(entry, day, entry.clinic.center.tz)
        if on is not None:
            cells.append(Cell(day, [on], closed.get((on.clinic.center_id, day), "")))
    return cells


def closed_on(day: date) -> list[ClosedDays]:
    rows = ClosedDays.objects.filter(first_day__lte=day, last_day__gte=day, center__active=True)
    return list(rows.select_related("center").order_by("center__name")[:50])
