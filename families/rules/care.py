"""Who may open what is locked about a child, and when."""

from datetime import date

__all__ = ["care_opens"]


def care_opens(*, reads_care: bool, keeps_records: bool, clinic_day: date | None, today_there: date | None) -> bool:
    """Whether someone may open what is locked about children.

    An admin, who reads care and keeps the records, may at any time, a floor lead on the clinic's day at the center.
    ``today_there``: the day it is at the center, which near midnight is not the day it is in the office.
    """
    if not reads_care:
        return False
    return keeps_records or (clinic_day is not None and clinic_day == today_there)
