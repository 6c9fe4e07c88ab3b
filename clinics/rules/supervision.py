"""How many adults a number of children needs.

The tables are defaults that an organization can replace with its own rows. Law differs by state, so none of
them is a promise of what the law asks.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

__all__ = [
    "LEAST_ADULTS",
    "LEAST_ADULTS_SOURCE",
    "LEAST_ADULTS_WORDS",
    "RATIO_TABLES",
    "NoRatio",
    "RatioRow",
    "RatioTable",
    "adults_for_counts",
    "adults_needed",
    "nearest_age",
]

# NSPCC, Recommended adult to child ratios (Sept 2023): "at least two adults present, even with smaller
# groups".
LEAST_ADULTS = 2
LEAST_ADULTS_SOURCE = "NSPCC, Recommended adult to child ratios (Sept 2023)"
LEAST_ADULTS_WORDS = "at least two adults present"

SEEN = "seen"  # read on the publisher's own page
SECONDARY = "seen on a secondary page"  # read on a page that restates the standard
MEMORY = "from memory"  # not checked against any page

# Where a source says "5 years and up" the row ends with the last year of childhood.
_LAST_CHILD_AGE = 17


class NoRatio(ValueError):
    """The table named ``table`` covers ages ``lowest`` to ``highest`` and has no row for ``age``."""

    def __init__(self, table: str, lowest: int, highest: int, age: int) -> None:
        super().__init__(
            f"The table {table} covers ages {lowest} to {highest}, so it has no ratio for age {age}. "
            "Choose another table, or change the ages."
        )
        self.table, self.lowest, self.highest, self.age = table, lowest, highest, age


@dataclass(frozen=True, slots=True)
class RatioRow:
    """Children per adult for ages `lowest_age` through `highest_age`, in completed years.

    `group_cap` is the most children in one group (None: the source gives none). It limits groups, not adults.
    `status` says how the row was checked. Raises ValueError for ages out of order or a number below 1.
    """

    lowest_age: int
    highest_age: int
    children_per_adult: int
    group_cap: int | None
    status: str

    def __post_init__(self) -> None:
        if not 0 <= self.lowest_age <= self.highest_age:
            raise ValueError(f"Ages {self.lowest_age} to {self.highest_age} are not in order.")
        if self.children_per_adult < 1:
            raise ValueError(f"One adult looks after at least 1 child, not {self.children_per_adult}.")
        if self.group_cap is not None and self.group_cap < 1:
            raise ValueError(f"A group holds at least 1 child, not {self.group_cap}.")


@dataclass(frozen=True, slots=True)
class RatioTable:
    """A published table. `year` is the year the source gives for itself; None where the copy read gives none.

    `rows` may overlap: the strictest row that applies to an age is the one that counts.
    """

    code: str
    name: str
    source: str
    year: int | None
    rows: tuple[RatioRow, ...]

    def __post_init__(self) -> None:
        if not self.rows:
            raise ValueError(f"{self.name} needs at least one row of ages.")

    def row_for(self, age: int) -> RatioRow:
        """The strictest row for an age in completed years. Raises NoRatio, a ValueError, when the table has none."""
        applying = [row for row in self.rows if row.lowest_age <= age <= row.highest_age]
        if not applying:
            lowest = min(row.lowest_age for row in self.rows)
            highest = max(row.highest_age for row in self.rows)
            raise NoRatio(self.name, lowest, highest, age)
        return min(applying, key=lambda row: (row.children_per_adult, row.lowest_age))


def adults_needed(ages: Sequence[int], table: RatioTable, grouped: bool = False) -> int:
    """Cleared adults needed for children of these ages (completed years). Helpers under 18 never count.

    Not grouped: all children at the ratio of the youngest child's row, rounded up, as Caring for Our Children
    and California Title 22 treat mixed groups. Grouped: the run sheet keeps each row's children apart, so
    each row is rounded up by itself and the results are added. Never fewer than two, even for no children: a
    clinic that is held has two adults. Grouping can need more adults as well as fewer, because each small
    group still has an adult of its own. Raises NoRatio for an age that the table does not cover.
    """
    return adults_for_counts(Counter(ages), table, grouped)


def adults_for_counts(children_by_age: Mapping[int, int], table: RatioTable, grouped: bool = False) -> int:
    """The same as `adults_needed`, given the number of children at each age."""
    by_row: Counter[RatioRow] = Counter()
    for age, children in children_by_age.items():
        if children < 0:
            raise ValueError(f"There can't be {children} children aged {age}. Enter 0 or more.")
        if children:
            by_row[table.row_for(age)] += children
    if not by_row:
        return LEAST_ADULTS
    if grouped:
        return max(LEAST_ADULTS, sum(_adults(children, row) for row, children in by_row.items()))
    youngest = min(age for age, children in children_by_age.items() if children)
    return max(LEAST_ADULTS, _adults(by_row.total(), table.row_for(youngest)))


def _adults(children: int, row: RatioRow) -> int:
    return -(-children // row.children_per_adult)


# Left out because their bands are not whole years or leave an end open to interpretation: Australia's
# National Quality Framework ("over preschool age"), England's custom of 1:8 and 1:10 (no ages at either end),
# the early years framework's reception class (no number), Kansas and Alabama ("school age"), and the NAEYC
# columns in GSA PBS-140 (which ratio goes with which group size could only be inferred).
_TABLES = (
    RatioTable(
        code="aca_day_camp",
        name="American Camp Association, day camp",
        source="ACA standard HR.8, as restated at tpgonlinedaily.com/choosing-a-summer-camp; ages 4-5 from memory",
        year=None,
        rows=(
            RatioRow(4, 5, 6, None, MEMORY),
            RatioRow(6, 8, 8, None, SECONDARY),
            RatioRow(9, 14, 10, None, SECONDARY),
            RatioRow(15, 18, 12, None, SECONDARY),
        ),
    ),
    RatioTable(
        code="aca_overnight",
        name="American Camp Association, overnight camp",
        source="ACA standard HR.8, as restated at tpgonlinedaily.com/choosing-a-summer-camp; ages 4-5 from memory",
        year=None,
        rows=(
            RatioRow(4, 5, 5, None, MEMORY),
            # The band is printed as starting at 6 or 7; at 6 no age is left without a row.
            RatioRow(6, 8, 6, None, SECONDARY),
            RatioRow(9, 14, 8, None, SECONDARY),
            RatioRow(15, 18, 10, None, SECONDARY),
        ),
    ),
    RatioTable(
        code="nspcc",
        name="NSPCC, recommended adult to child ratios",
        source="learning.nspcc.org.uk/research-resources/briefings/"
        "recommended-adult-child-ratios-working-with-children (Sept 2023)",
        year=2023,
        rows=(
            RatioRow(0, 2, 3, None, SEEN),
            RatioRow(2, 3, 4, None, SEEN),
            RatioRow(4, 8, 6, None, SEEN),
            RatioRow(9, 12, 8, None, SEEN),
            RatioRow(13, 18, 10, None, SEEN),
        ),
    ),
    RatioTable(
        code="caring_for_our_children",
        name="Caring for Our Children, standard 1.1.1.2, centers",
        source="nrckids.org/CFOC/Database/1.1.1.2",
        year=None,
        rows=(
            # Printed in months: through 12, then 13 to 35. Count a child of exactly 12 months as age 0.
            RatioRow(0, 0, 3, 6, SEEN),
            RatioRow(1, 2, 4, 8, SEEN),
            RatioRow(3, 3, 7, 14, SEEN),
            RatioRow(4, 4, 8, 16, SEEN),
            RatioRow(5, 5, 8, 16, SEEN),
            RatioRow(6, 8, 10, 20, SEEN),
            RatioRow(9, 12, 12, 24, SEEN),
        ),
    ),
    RatioTable(
        code="caring_for_our_children_homes",
        name="Caring for Our Children, standard 1.1.1.2, large family homes",
        source="nrckids.org/CFOC/Database/1.1.1.2",
        year=None,
        rows=(
            # Printed in months: through 12, 13 to 23, 24 to 35. Count a child of exactly 12 months as age 0.
            RatioRow(0, 0, 2, 6, SEEN),
            RatioRow(1, 1, 2, 8, SEEN),
            RatioRow(2, 2, 3, 12, SEEN),
            RatioRow(3, 3, 7, 12, SEEN),
            RatioRow(4, 5, 8, 12, SEEN),
            RatioRow(6, 8, 10, 12, SEEN),
            RatioRow(9, 12, 12, 12, SEEN),
        ),
    ),
    RatioTable(
        code="california_title_22",
        name="California Title 22, section 101516.5, school age",
        source="t22.caqualityearlylearning.org; teachers and aides both counted as adults; ages 5-17 from memory",
        year=None,
        rows=(RatioRow(5, _LAST_CHILD_AGE, 14, 28, f"{SEEN}; ages {MEMORY}"),),
    ),
    RatioTable(
        code="missouri",
        name="Missouri 5 CSR 25-500.112, age 5 and up",
        source="law.cornell.edu; the group cap is waived in a gym and in outdoor play, the ratio is not",
        year=None,
        rows=(RatioRow(5, _LAST_CHILD_AGE, 16, 32, SEEN),),
    ),
    RatioTable(
        code="north_carolina_rated",
        name="North Carolina 10A NCAC 09.2818, rated license",
        source="rule text",
        year=None,
        rows=(RatioRow(5, 6, 15, 25, SEEN), RatioRow(6, _LAST_CHILD_AGE, 20, 25, SEEN)),
    ),
    RatioTable(
        code="north_carolina_rated_higher",
        name="North Carolina 10A NCAC 09.2818, rated license, higher tier",
        source="rule text",
        year=None,
        rows=(RatioRow(5, 6, 14, 25, SEEN), RatioRow(6, _LAST_CHILD_AGE, 19, 25, SEEN)),
    ),
    RatioTable(
        code="florida",
        name="Florida, age 5 and up",
        source="stuvia copy of the state course",
        year=None,
        rows=(RatioRow(5, _LAST_CHILD_AGE, 25, None, SECONDARY),),
    ),
)

RATIO_TABLES: dict[str, RatioTable] = {table.code: table for table in _TABLES}


def nearest_age(age: int, table: RatioTable) -> int:
    """The age to look up for ``age``: itself if it has a row, else the nearest below with one, else the youngest."""
    covered = sorted({year for row in table.rows for year in range(row.lowest_age, row.highest_age + 1)})
    if age in covered:
        return age
    below = [year for year in covered if year < age]
    return below[-1] if below else covered[0]
