"""What alarms the lead while children are in: who is missing, the most dangerous first."""

import pytest

from clinics.rules.supervision import RATIO_TABLES, RatioRow, RatioTable
from floor.rules.adults_now import adults_now
from floor.rules.alarms import AdultHere, alarms

LOOSE = RatioTable("loose", "Loose", "ours", None, (RatioRow(4, 17, 10, None, "ours"),))
STRICT = RatioTable("strict", "Strict", "ours", None, (RatioRow(4, 17, 5, None, "ours"),))
TABLES = [(LOOSE, "ours"), (STRICT, "center")]
ALL = ("lead", "first_aider", "door")
LEAD, COACH = AdultHere(True, ("lead",)), AdultHere(True, ("coach",))
AIDER, DOOR = AdultHere(True, ("first_aider",)), AdultHere(True, ("door",))
HELPER = AdultHere(False)


def codes(ages, adults, needs=ALL):
    return [one.code for one in alarms(ages, adults, TABLES, needs)]


@pytest.mark.parametrize(
    ("children", "adults", "needs", "found"),
    [
        (0, [], ALL, []),
        (0, [COACH], ALL, []),
        (4, [LEAD, AIDER, DOOR], ALL, []),
        (1, [], ALL, ["no adult", "no lead", "no first aider", "no door"]),
        (1, [], ("lead",), ["no adult", "no lead"]),
        # Helpers under 18 are never adults, however many.
        (1, [HELPER] * 5, ("lead",), ["no adult", "no lead"]),
        (1, [LEAD, HELPER], ("lead",), ["one adult"]),
        (4, [COACH, COACH], ALL, ["no lead", "no first aider", "no door"]),
        # Each duty is a person of its own, unless one has both.
        (4, [LEAD, DOOR], ALL, ["no first aider"]),
        (4, [AdultHere(True, ("lead", "first_aider")), DOOR], ALL, []),
        # Cleared for a duty that an admin does not count into the ratio: the duty is filled, the count is not.
        (4, [LEAD, COACH, AdultHere(False, ("first_aider",))], ("lead", "first_aider"), []),
        # Eleven children: three by the stricter table.
        (11, [LEAD, COACH], ("lead",), ["few adults"]),
        (11, [LEAD], ("lead", "door"), ["one adult", "few adults", "no door"]),
        (11, [], ("lead",), ["no adult", "no lead", "few adults"]),
        (11, [LEAD, COACH, COACH], ("lead",), []),
    ],
)
def test_every_reason_once_and_the_worst_first(children, adults, needs, found):
    assert codes([9] * children, adults, needs) == found


def test_the_table_that_asks_for_most_is_named_with_whose_it_is():
    (few,) = alarms([9] * 11, [LEAD, COACH], TABLES, ("lead",))
    assert few.facts == {
        "missing": 1, "needed": 3, "adults": 2, "youngest": 9, "tables": [{"name": "Strict", "whose": "center"}],
    }  # fmt: skip
    # Two that ask for the same are both named.
    both = [(STRICT, "center"), (STRICT, "funder")]
    assert [one["whose"] for one in alarms([9] * 11, [LEAD, COACH], both, ())[0].facts["tables"]] == [
        "center",
        "funder",
    ]


def test_one_adult_fewer_is_said_just_when_the_count_that_the_phone_shows_is_not_reached():
    tables = [(RATIO_TABLES[code], "ours") for code in ("aca_day_camp", "nspcc")]
    for children in range(1, 60):
        for adults in range(8):
            found = {one.code for one in alarms([8] * children, [COACH] * adults, tables, ())}
            short = adults < adults_now([8] * children, [table for table, _ in tables])
            assert bool(found) == short


def test_without_a_table_nobody_can_say():
    with pytest.raises(ValueError, match="Name at least one supervision table"):
        alarms([7], [], [], ALL)
