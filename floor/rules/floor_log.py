"""What happened on the floor, read out of what the phones wrote down: the same answer in whatever order it arrived.

Each phone keeps its own actions numbered from 1 and stamped by its own clock. The clock may be wrong, so each sending
says what the phone's clock reads as it leaves, and an action's time is moved by the difference to ours. Within one
phone an action never comes before the one numbered lower, whatever its clock did in between.
"""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from floor.rules.twins import DIFFER, word_on

__all__ = [
    "Action",
    "Conflict",
    "FloorState",
    "Stay",
    "fold",
    "in_order",
    "present_at",
    "words_on_pairs",
]

# Two phones at one door often both tap: within this time a second tap says the same thing again.
SAME_TAP = timedelta(minutes=2)


@dataclass(frozen=True)
class Action:
    """One tap. ``at`` is the phone's own time already moved to ours; ``id`` was made on the phone."""

    id: str
    phone: str
    seq: int
    at: datetime
    kind: str
    facts: Mapping[str, Any] = field(default_factory=dict)


@dataclass
class Stay:
    """From coming in to going out; ``out_at`` None while inside."""

    who: str
    in_at: datetime
    in_by: str
    out_at: datetime | None = None
    out_by: str = ""
    out_phone: str = ""
    pickup: str = ""
    # What said the same again, and counts when the entry above is taken back: a phone can then see that by itself.
    in_again: list[Action] = field(default_factory=list)
    out_again: list[Action] = field(default_factory=list)


@dataclass(frozen=True)
class Conflict:
    """Two phones said what can't both be true. Everything that was said is kept, and the lead decides.

    ``code`` is "out without in", "two pickup people", "out and still here", "one child or two" or "merged and apart".
    The ids are those of actions.
    """

    code: str
    who: str
    actions: tuple[str, ...]


@dataclass
class FloorState:
    stays: dict[str, list[Stay]] = field(default_factory=dict)
    walk_ins: dict[str, Action] = field(default_factory=dict)
    scores: list[Action] = field(default_factory=list)
    incidents: list[Action] = field(default_factory=list)
    # Of the run sheet planned last of those that the entries name: another sheet's slots say nothing about its own.
    sheet: int = 0
    slots: dict[int, datetime] = field(default_factory=dict)
    notes: list[Action] = field(default_factory=list)
    minutes: dict[str, int] = field(default_factory=dict)
    conflicts: list[Conflict] = field(default_factory=list)
    closed_at: datetime | None = None
    # By the number of a child: the entry by which a waiver was signed at the door.
    waivers: dict[str, Action] = field(default_factory=dict)
    # What the lead said of two lines that may be one child: entries "same" and "apart".
    pairs: list[Action] = field(default_factory=list)
    # Every entry behind slots, minutes and the close, in order: a phone can then lay a taking-back over them by itself.
    said: list[Action] = field(default_factory=list)

    @property
    def inside(self) -> set[str]:
        """Who is inside now."""
        return {who for who, stays in self.stays.items() if stays and stays[-1].out_at is None}


def in_order(actions: Iterable[Action]) -> list[Action]:
    """Return every action once, in order of time; each phone's own actions keep the order of their numbers."""
    by_phone: dict[str, dict[str, Action]] = defaultdict(dict)
    for action in actions:
        by_phone[action.phone].setdefault(action.id, action)
    timed: list[tuple[datetime, str, int, str, Action]] = []
    for phone, rows in by_phone.items():
        latest: datetime | None = None
        for action in sorted(rows.values(), key=lambda one: (one.seq, one.id)):
            latest = action.at if latest is None else max(latest, action.at)
            timed.append((latest, phone, action.seq, action.id, action))
    timed.sort(key=lambda entry: entry[:4])
    return [
        action if action.at == at else Action(action.id, phone, seq, at, action.kind, action.facts)
        for at, phone, seq, _, action in timed
    ]


def fold(actions: Iterable[Action]) -> FloorState:
    """Work out the state of the floor after all ``actions``, in whatever order and however often they are given.

    An undone action counts as never done, and undoing twice changes nothing. Coming in while inside, or going out with
    the same pickup person again, says nothing new. What can't both be true is in ``conflicts``, and nothing is dropped.
    When a walk-in is taken back, what other entries say still holds: the person whom they name stays known.
    """
    rows = in_order(actions)
    undone = {str(row.facts.get("of")) for row in rows if row.kind == "undo"}
    undone |= _same_taps(rows, undone)
    state = FloorState()
    taken_back = {row.facts["who"]: row for row in reversed(rows) if row.kind == "walk-in" and row.id in undone}
    for row in rows:
        if row.kind == "undo" or row.id in undone:
            continue
        who = str(row.facts.get("who", ""))
        if who in taken_back:
            state.walk_ins.setdefault(who, row if row.kind == "walk-in" else taken_back[who])
        _APPLY[row.kind](state, row)
    state.conflicts += _pairs_differ(state.pairs)
    return state


def _same_taps(rows: Sequence[Action], undone: Collection[str]) -> set[str]:
    """The same going out, tapped on another phone in the same moment, is taken back with the one that was.

    Otherwise a child of whom the lead has just said that they are still in would be shown as gone. What somebody
    tapped after it was taken back is a new word. An "in" stays: who may be in the hall is looked for.
    """
    back: dict[str, int] = {}
    for place, row in enumerate(rows):
        if row.kind == "undo":
            back.setdefault(str(row.facts.get("of")), place)
    said: dict[str, list[Action]] = defaultdict(list)
    out = set()
    for place, row in enumerate(rows):
        who = str(row.facts.get("who", ""))
        if row.kind == "out" and row.id in undone:
            said[who].append(row)
        elif row.kind == "out":
            if any(row.at - one.at < SAME_TAP and place < back[one.id] and _same_word(row, one) for one in said[who]):
                out.add(row.id)
        elif row.kind in ("in", "walk-in") and row.id not in undone:
            said.pop(who, None)
    return out


def _same_word(one: Action, other: Action) -> bool:
    return _words(one.facts.get("pickup")) == _words(other.facts.get("pickup"))


def _words(pickup: Any) -> list[str]:
    return str(pickup or "").casefold().split()


def present_at(state: FloorState, moment: datetime) -> set[str]:
    """Who was inside at ``moment``."""
    return {
        who
        for who, stays in state.stays.items()
        if any(stay.in_at <= moment and (stay.out_at is None or moment < stay.out_at) for stay in stays)
    }


def words_on_pairs(pairs: Iterable[Action]) -> dict[frozenset[str], str]:
    """By two lines of the door, what was said of them: see ``word_on``."""
    said: dict[frozenset[str], list[str]] = defaultdict(list)
    for row in pairs:
        said[frozenset((row.facts["who"], row.facts["other"]))].append(row.kind)
    return {pair: word_on(kinds) for pair, kinds in said.items()}


def _pairs_differ(pairs: Sequence[Action]) -> list[Conflict]:
    """Two lines that are one child by one phone and two by another; or two by one, when they are one in the books.

    Two records that were merged are called by one number throughout, so such a pair has the same number twice.
    """
    found = []
    for pair, word in words_on_pairs(pairs).items():
        theirs = [row for row in pairs if pair == {row.facts["who"], row.facts["other"]}]
        if len(pair) == 1:
            apart = [row for row in theirs if row.kind == "apart"]
            if apart:
                found.append(Conflict("merged and apart", apart[0].facts["who"], tuple(row.id for row in apart)))
        elif word == DIFFER:
            found.append(Conflict("one child or two", theirs[0].facts["who"], tuple(row.id for row in theirs)))
    return found


def _came(state: FloorState, row: Action) -> None:
    who = row.facts["who"]
    stays = state.stays.setdefault(who, [])
    last = stays[-1] if stays else None
    if last is not None:
        if last.out_at is None:
            last.in_again.append(row)
            return
        if last.out_phone != row.phone and row.at - last.out_at < SAME_TAP:
            # Another phone says "here" just after this one said "gone": somebody must look.
            state.conflicts.append(Conflict("out and still here", who, (last.out_by, row.id)))
    stays.append(Stay(who, row.at, row.id))


def _went(state: FloorState, row: Action) -> None:
    who, pickup = row.facts["who"], str(row.facts.get("pickup", ""))
    stays = state.stays.setdefault(who, [])
    last = stays[-1] if stays else None
    if last is None:
        state.conflicts.append(Conflict("out without in", who, (row.id,)))
        return
    if last.out_at is None:
        last.out_at, last.out_by, last.out_phone, last.pickup = row.at, row.id, row.phone, pickup
    elif _words(pickup) != _words(last.pickup):
        state.conflicts.append(Conflict("two pickup people", who, (last.out_by, row.id)))
    elif row.at - last.out_at >= SAME_TAP:
        last.out_again.append(row)


def _walked_in(state: FloorState, row: Action) -> None:
    state.walk_ins.setdefault(row.facts["who"], row)
    _came(state, row)


def _slot(state: FloorState, row: Action) -> None:
    state.said.append(row)
    given = row.facts.get("sheet")
    sheet = given if isinstance(given, int) and not isinstance(given, bool) else 0
    if sheet > state.sheet:
        state.sheet, state.slots = sheet, {}
    if sheet == state.sheet:
        state.slots.setdefault(row.facts["slot"], row.at)


def _hours(state: FloorState, row: Action) -> None:
    state.minutes[row.facts["who"]] = row.facts["minutes"]
    state.said.append(row)


def _close(state: FloorState, row: Action) -> None:
    state.closed_at = state.closed_at or row.at
    state.said.append(row)


def _signed(state: FloorState, row: Action) -> None:
    # A signature that we hold says more than a sheet in the folder.
    known = state.waivers.get(row.facts["who"])
    if known is None or (known.facts["how"], row.facts["how"]) == ("paper", "phone"):
        state.waivers[row.facts["who"]] = row


_APPLY: dict[str, Callable[[FloorState, Action], None]] = {
    "in": _came,
    "out": _went,
    "walk-in": _walked_in,
    "slot": _slot,
    "hours": _hours,
    "close": _close,
    "score": lambda state, row: state.scores.append(row),
    "incident": lambda state, row: state.incidents.append(row),
    "note": lambda state, row: state.notes.append(row),
    "waiver": _signed,
    "same": lambda state, row: state.pairs.append(row),
    "apart": lambda state, row: state.pairs.append(row),
}
