"""Items of kits in words: how many, how many are missing, what a kit type requires, and what was damaged or lost."""

from collections.abc import Sequence

from django.utils.translation import gettext, ngettext

from core.formats import counted, listed, long_day
from kits.models import KindLine, KitLoss
from kits.rules.pack_list import PackLine

__all__ = ["amount_words", "line_amount", "loss_words", "righted_words", "short_first", "short_items", "short_words"]


def amount_words(count: int, item: str) -> str:
    """Say a number of an item: 3 balls size 5; 1 first-aid pouch; 2 pairs of scissors.

    Names of items are the office's own, in English and in the singular.
    """
    head, comma, rest = item.partition(",")
    if count != 1:
        for link in (" of ", " for "):
            noun, found, more = head.partition(link)
            if found:
                head = _plural(noun) + found + more
                break
        else:
            head = _plural(head)
    return f"{count} {head}{' ' + rest.strip() if comma else ''}"


def short_words(line: PackLine) -> str:
    return amount_words(line.short, line.item)


def short_items(lines: Sequence[PackLine], most: int = 0) -> str:
    """Every item that is missing, or the first ``most`` and how many more: 3 balls size 5, 2 cones, and 4 more."""
    words = [short_words(line) for line in lines]
    if most and len(words) > most:
        words = [*words[:most], gettext("%(n)d more") % {"n": len(words) - most}]
    return listed(words)


def short_first(lines: Sequence[PackLine]) -> str:
    return short_items(lines, most=1)


def line_amount(line: KindLine) -> str:
    """one per child; one for every 2 children, at least 10; 1 in all."""
    if line.per_children is None:
        words = [gettext("%(n)d in all") % {"n": line.number}]
    elif line.per_children == 1:
        words = [gettext("one per child")]
    else:
        words = [gettext("one for every %(children)s") % {"children": counted(line.per_children, "child")}]
    if line.per_children is not None and line.number:
        words.append(gettext("at least %(n)d") % {"n": line.number})
    if line.to_age is not None:
        words.append(gettext("ages %(low)d to %(high)d") % {"low": line.from_age or 0, "high": line.to_age})
    elif line.from_age is not None:
        words.append(gettext("from age %(low)d") % {"low": line.from_age})
    if line.spare_percent and line.spare_count:
        spares = gettext("%(percent)d percent and %(n)d more as spares")
        words.append(spares % {"percent": line.spare_percent, "n": line.spare_count})
    elif line.spare_percent:
        words.append(gettext("%(percent)d percent spares") % {"percent": line.spare_percent})
    elif line.spare_count:
        words.append(ngettext("%(n)d spare", "%(n)d spares", line.spare_count) % {"n": line.spare_count})
    return ", ".join(words)


def loss_words(loss: KitLoss) -> str:
    """3 balls size 5 damaged."""
    items = amount_words(loss.count, loss.item.name)
    if loss.how == KitLoss.How.DAMAGED:
        return gettext("%(items)s damaged") % {"items": items}
    return gettext("%(items)s lost") % {"items": items}


def righted_words(loss: KitLoss) -> str:
    """Say what became of a closed loss, when, and by whose word."""
    by_whom = {
        KitLoss.Righted.REPAIRED: gettext("Repaired on %(day)s, recorded by %(name)s."),
        KitLoss.Righted.REPLACED: gettext("Replaced on %(day)s, recorded by %(name)s."),
        KitLoss.Righted.FOUND: gettext("Found on %(day)s, recorded by %(name)s."),
    }
    by_nobody = {
        KitLoss.Righted.REPAIRED: gettext("Repaired on %(day)s."),
        KitLoss.Righted.REPLACED: gettext("Replaced on %(day)s."),
        KitLoss.Righted.FOUND: gettext("Found on %(day)s."),
    }
    if loss.righted_at is None:
        return ""
    righted = KitLoss.Righted(loss.righted)
    day = long_day(loss.righted_at, "home")
    if loss.righted_by is None:
        return by_nobody[righted] % {"day": day}
    return by_whom[righted] % {"day": day, "name": loss.righted_by.name}


def _plural(noun: str) -> str:
    if noun.endswith(("ch", "sh", "x", "ss")):
        return noun + "es"
    if noun.endswith("s"):
        return noun
    if noun.endswith("y") and noun[-2:-1] not in "aeiou":
        return noun[:-1] + "ies"
    return noun + "s"
