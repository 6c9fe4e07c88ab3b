"""What the clinic's page says of its floor page: whose phone it opens on, and whether it opens now."""

from dataclasses import dataclass, field
from datetime import datetime

from clinics.models import Clinic
from floor.models import FloorStandIn, SignIn
from floor.queries.floor_hours import OPEN_BEFORE, wipe_at
from floor.queries.leading import leading, stand_ins_of
from shifts.models import Assignment
from shifts.queries.link_pages import lead_of

__all__ = ["FloorLine", "floor_line"]


@dataclass(frozen=True)
class FloorLine:
    """``mine``: whoever looks is the lead, or stands in. ``begun``: there may be something to read of the day.

    ``kept``: the clinic was called off with somebody on the floor, so there is something to read all the same.
    """

    lead: Assignment | None
    opens_at: datetime
    opens_now: bool
    over: bool
    mine: bool
    kept: bool = False
    stand_ins: list[FloorStandIn] = field(default_factory=list)

    @property
    def begun(self) -> bool:
        return self.opens_now or self.over


def floor_line(clinic: Clinic, email: str, now: datetime) -> FloorLine:
    """Read what the clinic's page says of its floor page, in a constant number of queries.

    ``email`` is the address of the account that looks.
    """
    lead = lead_of(clinic)
    over = now >= wipe_at(clinic)
    opens_at = clinic.starts_at - OPEN_BEFORE
    # A cancelled clinic's page offers nothing to open.
    mine = clinic.live and leading(clinic, email).leads
    kept = not clinic.live and SignIn.objects.filter(clinic=clinic).exists()
    return FloorLine(
        lead, opens_at, clinic.live and opens_at <= now and not over, over, mine, kept, stand_ins_of(clinic)
    )
