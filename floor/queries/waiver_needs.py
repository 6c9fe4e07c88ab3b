"""Sheets of paper that were signed at the door and that nobody in the office has recorded yet."""

from collections.abc import Iterator
from datetime import timedelta

from django.urls import reverse
from django.utils.translation import gettext, ngettext

from clinics.models import Clinic
from clinics.needs import Desk, Need
from core import clock
from core.formats import listed, long_day
from families.queries.waivers import open_waivers
from floor.models import PaperWaiver

__all__ = ["paper_needs"]

LOOK_BACK = timedelta(days=60)


def paper_needs(desk: Desk) -> Iterator[Need]:
    """Answers ``clinics.needs.needs``. Three queries, one where nothing was signed on paper."""
    rows = PaperWaiver.objects.filter(clinic__ends_at__gt=desk.now - LOOK_BACK, child__forgotten_at=None)
    rows = rows.select_related("clinic__center", "child").defer("child__allergies", "child__care_notes")
    sheets = list(rows.order_by("clinic__starts_at", "child__name"))
    if not sheets:
        return
    book = open_waivers((row.child_id for row in sheets), clock.home_zone())
    by_clinic: dict[int, tuple[Clinic, list[PaperWaiver]]] = {}
    for row in sheets:
        if not book.on(row.child_id, row.clinic.day).ok:
            by_clinic.setdefault(row.clinic_id, (row.clinic, []))[1].append(row)
    for clinic, missing in by_clinic.values():
        first = missing[0].child_id
        yield Need(
            day=clinic.day,
            rank=2,
            headline=ngettext(
                "%(n)s paper waiver from %(center)s isn’t on file yet",
                "%(n)s paper waivers from %(center)s aren’t on file yet",
                len(missing),
            )
            % {"n": len(missing), "center": clinic.center.name},
            detail=gettext("%(names)s, %(day)s. Check the sheet in the folder, then record it.")
            % {"names": listed([str(row.child) for row in missing]), "day": long_day(clinic.day)},
            action_label=gettext("Record the paper waiver"),
            action_href=reverse("paper-waiver", args=[first]),
            right="keep_children",
        )
