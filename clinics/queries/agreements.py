"""The state of centers' papers on a day, for one center or for many."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from clinics.models import Agreement, AgreementKind, Center
from clinics.rules.agreements import AgreementState, Held, State, agreement_state
from clinics.words.agreements import agreement_words

__all__ = ["AgreementBook", "AgreementLine", "agreement_book", "asked_kinds"]

FLAGS = {State.CURRENT: "set", State.EXPIRES_SOON: "due", State.EXPIRED: "stop", State.MISSING: "stop"}


@dataclass(frozen=True)
class AgreementLine:
    """One kind of paper at one center on one day. ``asked``: whether the center needs it at all."""

    kind: AgreementKind
    on: date
    state: AgreementState
    asked: bool

    @property
    def name(self) -> str:
        return str(self.kind.label)

    @property
    def flag(self) -> str:
        return FLAGS[self.state.state]

    @property
    def flag_word(self) -> str:
        return agreement_words(self.state.state)

    @property
    def gap(self) -> bool:
        return self.asked and not self.state.holds


class AgreementBook:
    """The papers of some centers that count, read once: asking the book takes no further query."""

    def __init__(self, rows: Iterable[Agreement]) -> None:
        self._held: dict[tuple[int, str], list[Held]] = {}
        for row in rows:
            held = Held(row.pk, row.from_day, row.until_day)
            self._held.setdefault((row.center_id, row.kind), []).append(held)

    def line(self, center: Center, kind: AgreementKind, on: date) -> AgreementLine:
        state = agreement_state(self._held.get((center.pk, kind), ()), on)
        return AgreementLine(kind, on, state, kind in asked_kinds(center))

    def lines(self, center: Center, on: date) -> list[AgreementLine]:
        return [self.line(center, kind, on) for kind in AgreementKind]

    def gaps(self, center: Center, on: date) -> list[AgreementLine]:
        """The kinds of paper that the center needs on that day and does not have."""
        return [line for line in self.lines(center, on) if line.gap]


def agreement_book(centers: Iterable[int]) -> AgreementBook:
    """Read the papers of these centers. One query, however many centers."""
    rows = Agreement.objects.counting().filter(center__in=list(centers))
    return AgreementBook(rows.only("center", "kind", "from_day", "until_day"))


def asked_kinds(center: Center) -> set[AgreementKind]:
    flags = {AgreementKind.USE: center.asks_agreement, AgreementKind.INSURANCE: center.asks_insurance}
    return {kind for kind, asked in flags.items() if asked}
