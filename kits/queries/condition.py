"""What a kit holds against what is asked of it: shortfalls, what blocks it, what is due."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import QuerySet
from django.utils.translation import gettext

from clinics.models import Clinic, Status
from core.formats import listed, long_day
from core.refusal import Refusal
from kits.hooks import needs_to_pack
from kits.models import Kit, KitBooking, KitCheck
from kits.queries.packing import ages_to_pack_for
from kits.rules.kit_state import GONE, Trouble, check_state, due_on, must_have_troubles
from kits.rules.pack_list import STANDARD, PackLine, asked, compare, spread_ages
from kits.words.kits import expired_words, trouble_words

__all__ = [
    "BookedKit",
    "CheckDue",
    "against_kind",
    "booked_kits",
    "checks_due",
    "kit_by_code",
    "kit_troubles",
    "kit_unfit",
    "kit_warnings",
    "kits_with_state",
    "next_clinics",
    "pack_lines",
]


@dataclass(frozen=True)
class CheckDue:
    what: str
    words: str  # pump the balls
    every_days: int
    last: KitCheck | None
    due: date
    state: str  # overdue, due, fine


@dataclass(frozen=True)
class BookedKit:
    """A kit as it will be on the day of one clinic."""

    kit: Kit
    clinic: Clinic
    short: list[PackLine]
    blocks: list[str]
    warns: list[str]


def kits_with_state(kits: QuerySet[Kit] | None = None) -> QuerySet[Kit]:
    """Kits with place, kind, what the kind asks, and contents loaded. Four queries for any number."""
    rows: QuerySet[Kit] = (Kit.objects.all() if kits is None else kits).select_related("now_at", "kind")
    return rows.prefetch_related("items__losses", "kind__lines")


def kit_by_code(number: int, own: str) -> Kit | None:
    # Beyond the largest number the database keeps nothing, and asking for it would be refused.
    """The kit with this number and these own signs, or None."""
    return Kit.objects.filter(pk=number, own_signs=own).first() if number < 2**63 else None


def contents(kit: Kit, day: date) -> dict[str, int]:
    """How many of each item can be used on ``day``."""
    return {item.name: item.held().usable(day) for item in kit.items.all()}


def pack_lines(kit: Kit | None, clinic: Clinic, sheets: Mapping[int, Mapping[str, int]]) -> list[PackLine]:
    """Put what the clinic needs beside what its kit holds on that day.

    A kit without a kind is asked by the house's standard list. ``sheets`` is what run sheets need, see
    ``needs_to_pack``.
    """
    asks = kit.kind.asks() if kit is not None and kit.kind is not None else STANDARD
    needed = asked(asks, ages_to_pack_for(clinic), bool(clinic.theme))
    return compare(needed, contents(kit, clinic.day) if kit is not None else {}, sheets.get(clinic.pk))


def against_kind(kit: Kit, children: int, day: date) -> list[PackLine]:
    """Put what the kit's kind asks for ``children`` children of its ages beside what the kit holds on ``day``."""
    kind = kit.kind
    if kind is None:
        return []
    ages = spread_ages([(kind.youngest, kind.oldest, children)])
    return compare(asked(kind.asks(), ages, stem=True), contents(kit, day))


def kit_troubles(kit: Kit, day: date, stem: bool) -> list[Trouble]:
    """List what is wrong with the kit on ``day`` apart from numbers: the kit as a whole first, then must-haves.

    With ``stem`` the must-haves of the STEM part are looked at too.
    """
    if kit.condition in GONE:
        return [Trouble("", "kit gone", True, kit.condition)]
    must = kit.kind.must_haves(stem) if kit.kind is not None else []
    return must_have_troubles(must, [item.held() for item in kit.items.all()], day)


def kit_unfit(kit: Kit, clinic: Clinic) -> Refusal | None:
    """A Refusal that says why the kit can't be used for the clinic; None when it can."""
    row = kits_with_state(Kit.objects.filter(pk=kit.pk)).get()
    why = [trouble_words(trouble) for trouble in kit_troubles(row, clinic.day, bool(clinic.theme)) if trouble.blocks]
    if not why:
        return None
    words = gettext("%(kit)s can’t be used on %(day)s: %(why)s. Fix it on the kit’s page, or choose another kit.")
    facts = {"kit": row.name, "day": long_day(clinic.day), "why": listed(why)}
    return Refusal.because("kit unfit", words % facts, "kit")


def kit_warnings(clinic: Clinic) -> list[str]:
    """Say which must-haves the clinic's kit would go without, in sentences for whoever has just booked it."""
    return [
        gettext("%(kit)s is booked, but %(why)s.") % {"kit": booked.kit, "why": listed(booked.warns)}
        for booked in booked_kits(KitBooking.objects.filter(clinic=clinic))
        if booked.warns
    ]


def booked_kits(rows: QuerySet[KitBooking]) -> list[BookedKit]:
    """The live bookings among ``rows``, soonest first, with what would be short or wrong. At most eight queries."""
    live = rows.exclude(status=Status.CANCELLED).exclude(clinic__status=Status.CANCELLED)
    bookings = (
        live.select_related("clinic__center", "kit__kind")
        .prefetch_related("kit__items__losses", "kit__kind__lines", "clinic__bands", "clinic__spots")
        .order_by("period", "pk")
    )
    sheets = needs_to_pack([row.clinic for row in bookings])
    found = []
    for row in bookings:
        kit, clinic = row.kit, row.clinic
        troubles = kit_troubles(kit, clinic.day, bool(clinic.theme))
        blocks = [trouble_words(trouble) for trouble in troubles if trouble.blocks]
        # What is expired keeps a kit here whatever its type requires.
        old = [item.name for item in kit.items.all() if item.held().past(clinic.day)]
        if old and not blocks:
            blocks.append(expired_words(old))
        found.append(
            BookedKit(
                kit=kit,
                clinic=clinic,
                short=[line for line in pack_lines(kit, clinic, sheets) if line.short],
                blocks=blocks,
                warns=[trouble_words(trouble) for trouble in troubles if not trouble.blocks],
            )
        )
    return found


def checks_due(kits: Sequence[Kit], today: date, next_days: dict[int, date]) -> dict[int, list[CheckDue]]:
    """By kit, its checks and when each is due. ``next_days``: kit to the day of its next clinic. One query."""
    last: dict[tuple[int, str], KitCheck] = {}
    rows = KitCheck.objects.filter(kit__in=kits).select_related("by").order_by("kit_id", "what", "-done_on")
    for row in rows.distinct("kit_id", "what"):
        last[row.kit_id, row.what] = row
    out: dict[int, list[CheckDue]] = {}
    for kit in kits:
        for what, days in (kit.kind.intervals if kit.kind is not None else {}).items():
            done = last.get((kit.pk, what))
            due = due_on(done.done_on if done else None, days, today)
            state = check_state(due, today, next_days.get(kit.pk))
            out.setdefault(kit.pk, []).append(CheckDue(what, str(KitCheck.What(what).label), days, done, due, state))
    return out


def next_clinics(now: datetime, with_bands: bool = False) -> dict[int, Clinic]:
    """By kit, the next clinic it is packed for. One query, or three with age bands and spots."""
    following: dict[int, Clinic] = {}
    rows = KitBooking.objects.exclude(status=Status.CANCELLED).filter(clinic__ends_at__gt=now)
    rows = rows.select_related("clinic__center").order_by("period")
    for row in rows.prefetch_related("clinic__bands", "clinic__spots") if with_bands else rows:
        following.setdefault(row.kit_id, row.clinic)
    return following
