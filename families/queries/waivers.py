"""Waivers and photos for many children at once, and children as a list."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from django.db.models import Exists, OuterRef, Q
from django.utils.translation import gettext

from core import clock
from core.formats import counted
from families.models import Child, PhotoAnswer, Waiver, WaiverText
from families.models.children import ChildQuerySet
from families.rules.waivers import Signature, WaiverStanding, photo_allowed, waiver_on

__all__ = [
    "Counted",
    "WaiverBook",
    "children_like",
    "count_up_to",
    "least_version",
    "open_waivers",
    "photos_allowed",
]


@dataclass(frozen=True)
class WaiverBook:
    """Signatures of some children, read once; asked of any day."""

    signatures: dict[int, list[Signature]]
    least: int

    def on(self, child_id: int, day: date) -> WaiverStanding:
        return waiver_on(self.signatures.get(child_id, []), day, self.least)


@dataclass(frozen=True)
class Counted:
    """A number that is not counted past ``most``, since no one reads it to the last child."""

    number: int
    more: bool

    @property
    def words(self) -> str:
        children = counted(self.number, "child")
        return gettext("More than %(children)s") % {"children": children} if self.more else children


def open_waivers(child_ids: Iterable[int], tz: ZoneInfo | None = None) -> WaiverBook:
    """Read the signatures of these children. Two queries for any number."""
    tz = tz or clock.home_zone()
    found: dict[int, list[Signature]] = {}
    rows = Waiver.objects.filter(child_id__in=list(child_ids)).order_by()
    for child_id, version, signed_on, until, withdrawn_at in rows.values_list(
        "child_id", "text__version", "signed_on", "until", "withdrawn_at"
    ):
        withdrawn_on = withdrawn_at.astimezone(tz).date() if withdrawn_at else None
        found.setdefault(child_id, []).append(Signature(version, signed_on, until, withdrawn_on))
    return WaiverBook(found, least_version())


def photos_allowed(child_ids: Iterable[int]) -> set[int]:
    """The children whose guardians all say yes; a child of whom no one was asked is not among them. One query."""
    latest: dict[int, list[bool]] = {}
    rows = PhotoAnswer.objects.filter(child_id__in=list(child_ids)).distinct("child_id", "guardian_id")
    rows = rows.order_by("child_id", "guardian_id", "-answered_at", "-pk")
    for child_id, allowed in rows.values_list("child_id", "allowed"):
        latest.setdefault(child_id, []).append(allowed)
    return {child_id for child_id, answers in latest.items() if photo_allowed(answers)}


def children_like(*, words: str = "", waiver: str = "", today: date) -> ChildQuerySet:
    """Children whose name holds ``words``, in order of name; ``waiver`` is a code of words/waivers.py or ""."""
    rows = Child.objects.known().order_by("name", "pk")
    if words:
        rows = rows.called(words)
    if waiver:
        good = Waiver.objects.in_force().filter(
            child=OuterRef("pk"), until__gte=today, text__version__gte=least_version()
        )
        rows = rows.filter(Exists(good) if waiver == "current" else ~Exists(good))
    return rows


def after(rows: ChildQuerySet, name: str, pk: int) -> ChildQuerySet:
    """Rows behind one in the order of name and number: a page far back costs no more than the first."""
    return rows.filter(name__gte=name).filter(Q(name__gt=name) | Q(name=name, pk__gt=pk))


def count_up_to(rows: ChildQuerySet, most: int) -> Counted:
    """Count the rows, but no further than ``most``."""
    number = rows.order_by()[: most + 1].count()
    return Counted(min(number, most), number > most)


def least_version() -> int:
    """The oldest version whose signatures still hold: the newest published one that everyone has to sign anew."""
    row = WaiverText.objects.published().filter(signs_anew=True).order_by("-version").first()
    return row.version if row is not None else 0
