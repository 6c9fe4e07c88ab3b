"""The activities that come with the house, in its own words.

Minutes, group sizes, turns, things to bring and the order are common practice, no source. Teaching and safety points
are ours; an organization adds to them and takes away.
"""

from __future__ import annotations

from runsheets.rules.activities.facts import Activity

__all__ = ["ACTIVITIES", "activity"]

NO_LIMIT = 400  # more children than one space holds: the activity itself sets no limit

_CLEAR_FLOOR = "Pick up loose balls or roll them to the wall before anyone runs."
_ONE_WAY = "Walk back along the outside, never through another pair’s lane."
_TOOLS = "Scissors and clips stay on the table; counted out, counted in."

_LIBRARY = (
    # 5 to 10 minutes, never more, always first: children tire of it. Common practice, no source.
    Activity(
        "partner-shooting",
        "Partner shooting",
        "opener",
        5,
        10,
        group_size=10,
        hoops=1,
        balls=1,
        cycle_seconds=30,
        players=2,
        turns_at_once=4,
        teaching=(
            "One shoots, one rebounds and passes back. Switch after five.",
            "Start close enough that most shots go in. No stepping back yet.",
            "Say one thing to each child and move on.",
        ),
        safety=(_CLEAR_FLOOR, "Eyes up before you pass: call the name first."),
        record="Nothing. This is a warm-up.",
    ),
    Activity(
        "step-back-ladder",
        "Step-back ladder",
        "station",
        8,
        15,
        group_size=8,
        hoops=1,
        balls=1,
        cycle_seconds=40,
        players=2,
        turns_at_once=3,
        teaching=(
            "Make three from a spot, then take one step back.",
            "Stop when form slips. The step before that is today’s level.",
            "Farther isn’t better. A clean shot from close up is.",
        ),
        safety=(_ONE_WAY, "The partner stands beside the lane, not under the hoop."),
        record="Shots taken and made at each level.",
        things=("cone: 6 once",),
    ),
    Activity(
        "par-zero",
        "Par-zero free throws",
        "station",
        8,
        15,
        group_size=8,
        hoops=1,
        balls=1,
        cycle_seconds=30,
        players=3,
        turns_at_once=1,
        youngest=7,
        teaching=(
            "A clean make is −1, a make off the rim is 0, a miss is +1. Lowest score wins.",
            "Same breath, same bounce, every time.",
            "Nine shots; five when time is short; eighteen when there is plenty.",
        ),
        safety=("Two rebound, one shoots, and the others sit behind the line.",),
        record="Each shot: clean, rim or miss.",
        things=(
            "score card: 1 per group",
            "pencil: 1 once",
        ),
    ),
    Activity(
        "knockout",
        "Whole-group knockout",
        "game",
        6,
        12,
        group_size=12,
        hoops=1,
        balls=2,
        cycle_seconds=20,
        players=2,
        turns_at_once=1,
        teaching=(
            "Two balls, one line: make yours before the one behind you makes theirs.",
            "Players who are out start the next round right away, so no one sits for long.",
        ),
        safety=(_CLEAR_FLOOR, "Don’t knock another child’s ball away under the hoop."),
        record="Nothing. It’s a game.",
    ),
    Activity(
        "two-spot",
        "Two-spot catch-and-shoot",
        "station",
        8,
        15,
        group_size=6,
        hoops=1,
        balls=2,
        cycle_seconds=45,
        players=3,
        turns_at_once=1,
        youngest=10,
        level="advanced",
        teaching=(
            "Shoot from one spot, run to the other, be set before the ball comes.",
            "Feet first, then hands, then eyes on the rim.",
        ),
        safety=(_ONE_WAY, "The passer waits until the shooter’s hands are ready."),
        record="Shots made and taken from each spot.",
        things=("cone: 2 once",),
    ),
    Activity(
        "sweep-pull-up",
        "One-dribble pull-up",
        "station",
        8,
        15,
        group_size=6,
        hoops=1,
        balls=1,
        cycle_seconds=30,
        players=2,
        turns_at_once=2,
        youngest=11,
        level="advanced",
        teaching=(
            "Swing the ball low past your knees, take one strong dribble, and jump into the shot off both feet.",
            "A balanced stop counts for more than a made shot.",
        ),
        safety=("A cone marks the stop, so no one lands on anyone.", "Check that laces are tied and the floor is dry."),
        record="Tries, balanced stops, and shots made.",
        things=("cone: 2 once",),
    ),
    Activity(
        "ball-handling",
        "Ball handling",
        "station",
        8,
        15,
        group_size=12,
        balls_each=1,
        cycle_seconds=30,
        teaching=("Finger pads, not palms. Eyes on the coach’s fingers.", "Weak hand gets the extra turn."),
        safety=("Stay one and a half arm lengths apart.", _CLEAR_FLOOR),
        record="Dribbles in 30 seconds with each hand, if the child wants to.",
        things=("cone: 12 once",),
    ),
    Activity(
        "footwork",
        "Defense footwork",
        "station",
        8,
        15,
        group_size=12,
        cycle_seconds=20,
        teaching=("Low, wide, push off the far foot; feet never cross.", "Short bursts, then a breath."),
        safety=("All slide the same way at the same time.", "Stop at the whistle, wherever you are."),
        record="Nothing.",
        things=("cone: 8 once",),
    ),
    Activity(
        "arc-geometry",
        "Shot arcs with string and chalk",
        "stem",
        8,
        20,
        group_size=10,
        tables=0,
        skill="stem lead",
        youngest=7,
        teaching=(
            "Two hold a string from hand to rim height; bend it into a low arc, then a high one.",
            "Chalk where it comes down. How wide does the hoop look from there?",
        ),
        safety=(
            "Hold strings. Never tie them to anyone.",
            "Keep chalk off the playing lines. Wipe it up before the next group.",
        ),
        record="The angle each child would choose, and why.",
        things=(
            "roll of string: 1 once",
            "stick of chalk: 4 per group",
            "tape measure: 1 once",
            "damp cloth: 1 once",
        ),
    ),
    Activity(
        "pulse-data",
        "Pulse data",
        "stem",
        8,
        15,
        group_size=12,
        tables=1,
        skill="stem lead",
        youngest=7,
        teaching=(
            "Count beats for 15 seconds sitting, after 1 minute of running on the spot, and 2 minutes later.",
            "Draw the three points. Whose comes down fastest?",
        ),
        safety=(
            "Two fingers at the wrist, not at the neck.",
            "No one has to share their number. No names on the chart.",
        ),
        record="The group’s median beats per minute at the three times.",
        things=(
            "stopwatch: 2 once",
            "sheet of chart paper: 1 per group",
            "marker: 3 once",
        ),
    ),
    Activity(
        "paper-bridges",
        "Paper bridges",
        "stem",
        10,
        20,
        group_size=10,
        tables=2,
        skill="stem lead",
        teaching=("One sheet across a gap of two hands: fold, roll, pleat.", "Add coins one at a time. What gave way?"),
        safety=(_TOOLS, "Keep coins and clips away from children who put things in their mouths."),
        record="Coins held, for each way of folding.",
        things=(
            "sheet of paper: 3 per head",
            "paper clip: 2 per head",
            "pair of scissors: 3 once",
            "coin: 60 once",
        ),
    ),
    Activity(
        "drop-circuit",
        "A light that comes on when the ball drops",
        "stem",
        10,
        20,
        group_size=8,
        tables=2,
        adults=1,
        skill="stem lead",
        youngest=8,
        teaching=(
            "Battery, lamp and two foil strips: a dropped ball pushes them together.",
            "Trace the loop with a finger. Where could it break?",
        ),
        safety=(
            "Use only 1.5-volt dry cells, never a power outlet. Keep coin cells out of the room.",
            "If a wire gets warm, let go and open the switch.",
            _TOOLS,
        ),
        record="Whether it lit, and what each pair changed.",
        things=(
            "circuit set: 4 once",
            "strip of foil: 2 per head",
            "roll of sticky tape: 1 once",
        ),
    ),
    Activity(
        "water",
        "Water",
        "water",
        2,
        4,
        group_size=NO_LIMIT,
        teaching=("Everyone drinks, adults too.",),
        safety=("Own bottle or a fresh cup.", "Look at each child: flushed, pale, holding something?"),
        record="Nothing.",
        things=("paper cup: 1 per head",),
    ),
    Activity(
        "closer",
        "Closing circle",
        "closer",
        4,
        8,
        group_size=NO_LIMIT,
        teaching=("Each group shares one thing it found out.", "Name something to try at home without a hoop."),
        safety=("No one leaves the circle without being signed out.",),
        record="One line for the sheet: what went well.",
    ),
)

ACTIVITIES: dict[str, Activity] = {one.code: one for one in _LIBRARY}


def activity(code: str) -> Activity:
    """The house's activity with this code. Raises ValueError when there is none."""
    if code not in ACTIVITIES:
        raise ValueError(f"There’s no activity with the code {code}. Choose one of {', '.join(ACTIVITIES)}.")
    return ACTIVITIES[code]
