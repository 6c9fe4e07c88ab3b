"""What the booking form knows of a clinic, and every reason why it can't be one."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from django.utils.translation import gettext

from clinics.formatting import clinic_words
from clinics.models import Center, Clinic, Space
from core.formats import counted
from core.refusal import Reason, Refusal
from core.rules.local_time import TimeDoesNotExist, localize
from core.words import skipped_time
from kits.models import Kit, KitBooking
from scheduling.models import SET_UP, TAKE_DOWN, Booking
from scheduling.queries.conflicts import closed_then
from shifts.queries.shift_needs import duties_for

__all__ = ["LONGEST", "ClinicFacts", "check_clinic_facts", "facts_of"]

LONGEST = timedelta(hours=8)


@dataclass(frozen=True)
class ClinicFacts:
    """What the booking form knows; times are the wall clock at the center."""

    center: Center
    space: Space
    day: date
    starts: time
    ends: time
    bands: list[tuple[int, int, int]]  # youngest, oldest, children expected
    theme: str = ""
    ratio_table: str = "aca_day_camp"
    kit: Kit | None = None
    offer_next: bool = False
    funder_table: str = ""


def facts_of(clinic: Clinic, otherwise: Space | None = None) -> ClinicFacts:
    """Read a clinic as the booking form would know it.

    ``otherwise`` is the space of a clinic for which none is held. Raises Refusal "no floor" when there is neither.
    """
    booking = Booking.objects.live().filter(clinic=clinic).select_related("space").first()
    space = booking.space if booking is not None else otherwise
    if space is None:
        raise Refusal.because(
            "no floor",
            gettext("No space is reserved for %(clinic)s. Choose one on the clinic’s page first.")
            % {"clinic": clinic_words(clinic)},
        )
    kit = KitBooking.objects.exclude(status="cancelled").filter(clinic=clinic).select_related("kit").first()
    return ClinicFacts(
        center=clinic.center,
        space=space,
        day=clinic.day,
        starts=clinic.local_start.time(),
        ends=clinic.local_end.time(),
        bands=[(band.youngest, band.oldest, band.children) for band in clinic.bands.all()],
        theme=clinic.theme,
        ratio_table=clinic.ratio_table,
        kit=kit.kit if kit else None,
        offer_next=clinic.offer_next,
        funder_table=clinic.funder_table,
    )


def check_clinic_facts(facts: ClinicFacts, now: datetime, held: Booking | None = None) -> tuple[datetime, datetime]:
    """Check the facts and return start and end as instants. Raises Refusal with every reason against the clinic.

    ``held`` is the clinic's present hold. Whether the center is open is not checked for hours inside it: the center
    knows of them already, and a person asks a center that has closed since.
    """
    reasons: list[Reason] = []
    if facts.space.center_id != facts.center.pk:
        reasons.append(
            Reason(
                "space elsewhere",
                gettext("%(space)s is at %(center)s. Choose a space at %(chosen)s.")
                % {
                    "space": facts.space.name,
                    "center": facts.space.center.name,
                    "chosen": facts.center.name,
                },
                "space",
            )
        )
    elif not (facts.space.active and facts.center.active) and (held is None or held.space_id != facts.space.pk):
        gone = facts.space if facts.center.active else facts.center
        reasons.append(
            Reason(
                "no longer lent",
                gettext("%(name)s is no longer available to us. Choose another space or center.") % {"name": gone.name},
                "space",
            )
        )
    moments: list[datetime] = []
    for field, wall in (("starts", facts.starts), ("ends", facts.ends)):
        try:
            moments.append(localize(facts.day, wall, facts.center.tz).astimezone(UTC))
        except TimeDoesNotExist as problem:
            reasons.append(Reason("no such time", skipped_time(problem), field))
    if len(moments) == 2:
        start, end = moments
        if end <= start:
            reasons.append(
                Reason("ends before start", gettext("The end must be after the start. Enter a later end time."), "ends")
            )
        elif end - start > LONGEST:
            reasons.append(
                Reason(
                    "too long", gettext("That’s more than 8 hours. Check the end time, or book two clinics."), "ends"
                )
            )
        if start <= now:
            reasons.append(
                Reason("in the past", gettext("That start time has passed. Choose a future day and time."), "day")
            )
        elif (start - now).days > 731:
            reasons.append(
                Reason("too far off", gettext("That’s more than two years from now. Check the year."), "day")
            )
    if len(moments) == 2:
        wanted = (moments[0] - SET_UP, moments[1] + TAKE_DOWN)
        if not _within(held, facts.space, wanted):
            refusal = closed_then(facts.center, *wanted)
            reasons.extend(refusal.reasons if refusal else [])
    try:
        duties = duties_for(
            facts.bands, facts.ratio_table, bool(facts.theme), facts.center.ratio_table, facts.funder_table
        )
        people = sum(children for _, _, children in facts.bands) + len(duties)
        if people > facts.space.capacity:
            reasons.append(
                Reason(
                    "too many for the space",
                    gettext(
                        "%(space)s is for up to %(most)s. %(children)s and %(adults)s are %(people)d. Expect fewer "
                        "children or choose a larger space."
                    )
                    % {
                        "space": facts.space.name,
                        "most": counted(facts.space.capacity, "person"),
                        "children": counted(people - len(duties), "child"),
                        "adults": counted(len(duties), "adult"),
                        "people": people,
                    },
                    "space",
                )
            )
    except Refusal as refusal:
        reasons.extend(refusal.reasons)
    if reasons:
        raise Refusal(*reasons)
    return moments[0], moments[1]


def _within(held: Booking | None, space: Space, wanted: tuple[datetime, datetime]) -> bool:
    if held is None or held.space_id != space.pk:
        return False
    return bool(held.period.lower <= wanted[0] and wanted[1] <= held.period.upper)
