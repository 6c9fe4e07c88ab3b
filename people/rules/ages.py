"""How old a child is on a day, in completed years."""

from datetime import date

__all__ = ["OLDEST_CHILD", "age_on"]

# Who is older answers for themselves; a year of birth before that is a slip of the finger.
OLDEST_CHILD = 18


def age_on(born: date, day: date) -> int:
    """The age on ``day`` in completed years. Who was born on 29 February turns older on 1 March of a common year.

    dateutil's ``relativedelta(day, born).years`` counts the same, except on 28 February of a common year, when it
    counts the birthday of a 29 February already. Raises ValueError for a day before birth.
    """
    if day < born:
        raise ValueError(f"{day} is before the day of birth.")
    return day.year - born.year - ((day.month, day.day) < (born.month, born.day))
