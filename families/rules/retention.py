"""When what we keep of a child goes: the notes after their last clinic, the signature when no one can ask for it.

The sum for a minor's waiver, age of majority and the limitation and one year, is of recreation-law.com (2019), with
its example: a 14-year-old and a limitation of two years make 4 + 2 + 1 = 7 years. Both numbers differ by state, so
both are the admin's to set; the months after the last clinic are a guess of ours. What a court may ask for is held.
"""

from dataclasses import dataclass
from datetime import date

from people.rules.evidence import expires_on

__all__ = ["Record", "RetentionRule", "redact_after", "waiver_after", "what_goes"]

ONE_YEAR_MORE = 1


@dataclass(frozen=True)
class RetentionRule:
    child_months: int
    majority_age: int
    limitation_years: int
    keep_waivers: bool


@dataclass(frozen=True)
class Record:
    """What decides: the last day the child was expected or, if never, the day of registering."""

    born: date
    last_day: date
    signed: bool  # a signature of any kind, current or not
    pared: bool = False
    held: bool = False


def redact_after(last_day: date, months: int) -> date:
    """The last day on which notes, pickup people and contacts are kept."""
    last = expires_on(last_day, months)
    assert last is not None
    return last


def waiver_after(born: date, rule: RetentionRule) -> date:
    """The last day on which a signature may still be asked for."""
    last = expires_on(born, 12 * (rule.majority_age + rule.limitation_years + ONE_YEAR_MORE))
    assert last is not None
    return last


def what_goes(record: Record, rule: RetentionRule, today: date) -> str:
    """ "nothing", "notes" (everything but the name beside its waiver) or "all" as of ``today``."""
    if record.held or today <= redact_after(record.last_day, rule.child_months):
        return "nothing"
    if record.signed and rule.keep_waivers and today <= waiver_after(record.born, rule):
        return "nothing" if record.pared else "notes"
    return "all"
