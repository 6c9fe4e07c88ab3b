"""Pocket cards: for each adult on a run sheet where to be when."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.utils.translation import gettext, ngettext

from core.formats import listed
from runsheets.models import RunSheetPlan
from runsheets.queries.run_sheet_floor import places_of
from runsheets.words.sheets import on_the_side

__all__ = ["Card", "cards_of"]


@dataclass(frozen=True)
class CardLine:
    starts_at: datetime
    minutes: int
    what: str
    where: str
    groups: str


@dataclass(frozen=True)
class Card:
    name: str
    lines: list[CardLine]
    points: list[tuple[str, list[str], list[str]]]  # activity, teaching, safety: stations it runs


def cards_of(row: RunSheetPlan, tz: ZoneInfo) -> list[Card]:
    """One card for each adult on the sheet: where to be when, and the points of their own stations."""
    result = row.result
    start = datetime.fromisoformat(row.facts["starts_at"]).astimezone(tz)
    by_code = {one["code"]: one for one in result["activities"]}
    places = places_of(result)
    # Who has gone home is on no card; who is on the sheet keeps the order of the shifts.
    order = [one["name"] for one in row.facts["adults"]]
    on_it = {name for slot in result["slots"] for some in slot["adults"].values() for name in some}
    cards = []
    for name in [*order, *sorted(on_it - set(order))]:
        lines, own = [], []
        for slot in result["slots"]:
            at = start + timedelta(minutes=slot["start"])
            code = next((one for one, some in slot["adults"].items() if name in some), None)
            if code is None:
                if name in slot["spare"]:
                    lines.append(CardLine(at, slot["minutes"], gettext("Help where needed"), gettext("anywhere"), ""))
                continue
            groups = [group for group, one in slot["stations"].items() if one == code]
            whole = slot["kind"] != "rotation"
            words = gettext("everyone")
            if not whole:
                words = ngettext("group %(groups)s", "groups %(groups)s", len(groups)) % {"groups": listed(groups)}
            what = by_code[code]["name"] if code in by_code else gettext("Supervise waiting groups")
            lines.append(CardLine(at, slot["minutes"], what, places.get(code, on_the_side()), words))
            if not whole and code in by_code and code not in own:
                own.append(code)
        points = [(by_code[code]["name"], by_code[code]["teaching"], by_code[code]["safety"]) for code in own]
        cards.append(Card(name, lines, points))
    return cards
