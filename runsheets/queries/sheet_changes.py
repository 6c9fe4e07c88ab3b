"""What changed since a run sheet was made, in sentences."""

from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.utils.translation import gettext, ngettext

from core.formats import counted, span
from runsheets.models import RunSheetPlan

__all__ = ["changes_since"]


def changes_since(
    row: RunSheetPlan,
    now: dict[str, Any],
    names: dict[int, str],
    names_gone: dict[int, str],
    expected: int,
    tz: ZoneInfo,
) -> list[str]:
    """Say in sentences what differs now from the facts that the sheet was made from."""
    then = row.facts
    out = []
    if (then["starts_at"], then["ends_at"]) != (now["starts_at"], now["ends_at"]):
        words = gettext("The clinic is now from %(now)s, but the run sheet is for %(then)s.")
        hours = {
            name: span(datetime.fromisoformat(facts["starts_at"]), datetime.fromisoformat(facts["ends_at"]), tz)
            for name, facts in (("now", now), ("then", then))
        }
        out.append(words % hours)
    planned = {one["who"]: one["name"] for one in then["adults"]}
    coming = {one["who"]: one["name"] for one in now["adults"]}
    left = gettext("%(name)s is no longer coming, or no longer counts as an adult.")
    out += [left % {"name": name} for who, name in planned.items() if who not in coming]
    joined = gettext("%(name)s is coming but isn’t on the run sheet.")
    out += [
        joined % {"name": name} for who, name in coming.items() if who not in planned and who not in then["missing"]
    ]
    out += _children_changed(row, names, names_gone, expected)
    hoops = now["floor"]["hoops"] - then["hoops_out"]
    if (now["space"], hoops, now["floor"]["capacity"]) != (
        then["space"],
        then["floor"]["hoops"],
        then["floor"]["capacity"],
    ):
        out.append(_space_words(now))
    if now["kit"] != then["kit"] or (now["kit"] and now["floor"]["balls"] != then["floor"]["balls"]):
        words = ngettext(
            "There is %(now)d ball now, not %(then)d.",
            "There are %(now)d balls now, not %(then)d.",
            now["floor"]["balls"],
        )
        out.append(words % {"now": now["floor"]["balls"], "then": then["floor"]["balls"]})
    archived = gettext("%(name)s has been archived.")
    out += [archived % {"name": one["name"]} for one in then["activities"] if one["code"] not in now["offered"]]
    if now["tables"] != then["tables"]:
        out.append(gettext("The supervision table has changed."))
    return out


def _children_changed(row: RunSheetPlan, names: dict[int, str], names_gone: dict[int, str], expected: int) -> list[str]:
    on_it = {pk for one in row.groups for pk in one["children"]}
    gone = gettext("%(name)s no longer has a spot.")
    out = [gone % {"name": names_gone.get(pk) or gettext("A child")} for pk in sorted(on_it - set(names))]
    new = [pk for pk in names if pk not in on_it]
    planned = sum(one["count"] for one in row.groups)
    if on_it:
        ungrouped = gettext("%(name)s has a spot but isn’t in a group.")
        out += [ungrouped % {"name": names[pk]} for pk in new]
    elif new:
        words = ngettext(
            "%(n)d child has a spot now. The run sheet used the expected number.",
            "%(n)d children have a spot now. The run sheet used the expected number.",
            len(new),
        )
        out.append(words % {"n": len(new)})
    elif planned != expected:
        words = ngettext(
            "%(n)d child is expected now, not %(then)d.", "%(n)d children are expected now, not %(then)d.", expected
        )
        out.append(words % {"n": expected, "then": planned})
    return out


def _space_words(now: dict[str, Any]) -> str:
    if not now["space"]:
        return gettext("No space is reserved anymore.")
    words = gettext("The space is now %(space)s, with %(hoops)s.")
    return words % {"space": now["space"], "hoops": counted(now["floor"]["hoops"], "hoop")}
