"""Reads volunteers and clearances from a file, and refuses a bad row with its line and a code for every reason."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from people.rules.cells import RowProblem, cell_text, is_address, row_problem

__all__ = ["CLEARANCE_HEAD", "VOLUNTEER_HEAD", "BadRow", "ReadRows", "read_clearances", "read_volunteers"]

VOLUNTEER_HEAD = ("name", "email", "phone", "duties", "adult", "home_area", "latitude", "longitude")
CLEARANCE_HEAD = ("email", "kind", "state", "issued_on", "expires_on", "reference", "issuer")
YES, NO = {"yes", "y", "true", "1", ""}, {"no", "n", "false", "0"}
LONGEST = {"name": 120, "email": 254, "phone": 40, "home_area": 120, "reference": 80, "issuer": 120}


@dataclass(frozen=True)
class BadRow:
    """A row that can't be imported: its line in the file (the head is line 1) and what is wrong with it.

    An app whose rows are no volunteers may put its own reasons into words itself.
    """

    line: int
    reasons: Sequence[RowProblem | str]


@dataclass
class ReadRows:
    good: list[dict[str, object]] = field(default_factory=list)
    bad: list[BadRow] = field(default_factory=list)


def read_volunteers(rows: Iterable[Mapping[str, str]], duties: Sequence[str], taken: set[str]) -> ReadRows:
    """Read rows of volunteers. ``taken`` holds the email addresses, in small letters, that are on file already."""
    out = ReadRows()
    seen: dict[str, int] = {}
    for line, row in enumerate(rows, start=2):
        reasons: list[RowProblem] = []
        cell = _cells(row, VOLUNTEER_HEAD, reasons)
        email = cell["email"].lower()
        if not cell["name"]:
            reasons.append(row_problem("no name"))
        if not is_address(email):
            reasons.append(row_problem("no email", email=cell["email"]))
        elif email in taken:
            reasons.append(row_problem("on file", email=email))
        elif email in seen:
            reasons.append(row_problem("email twice", email=email, line=seen[email]))
        held = [word.strip().lower().replace(" ", "_") for word in cell["duties"].replace(";", ",").split(",")]
        held = [word for word in held if word]
        unknown = [word for word in held if word not in duties]
        if unknown:
            reasons.append(row_problem("unknown duties", duties=", ".join(unknown), known=", ".join(duties)))
        elif not held:
            reasons.append(row_problem("no duties", known=", ".join(duties)))
        adult = cell["adult"].lower()
        if adult not in YES | NO:
            reasons.append(row_problem("yes or no", typed=cell["adult"]))
        elif adult in NO and held != ["helper"]:
            reasons.append(row_problem("under 18"))
        point = _point(cell["latitude"], cell["longitude"], reasons)
        seen.setdefault(email, line)
        if reasons:
            out.bad.append(BadRow(line, reasons))
            continue
        out.good.append(
            {
                "name": cell["name"],
                "email": email,
                "phone": cell["phone"],
                "duties": list(dict.fromkeys(held)),
                "adult": adult in YES,
                "home_area": cell["home_area"],
                "latitude": point[0],
                "longitude": point[1],
            }
        )
    return out


def read_clearances(
    rows: Iterable[Mapping[str, str]], people: Mapping[str, int], kinds: Mapping[str, int], today: date
) -> ReadRows:
    """Read rows of clearances, as of ``today``.

    ``people`` gives the volunteer by email address in small letters, ``kinds`` the clearance kind by code and by name.
    """
    out = ReadRows()
    seen: dict[tuple[object, ...], int] = {}
    for line, row in enumerate(rows, start=2):
        reasons: list[RowProblem] = []
        cell = _cells(row, CLEARANCE_HEAD, reasons)
        person, kind = people.get(cell["email"].lower()), kinds.get(cell["kind"].lower())
        if person is None:
            reasons.append(row_problem("no volunteer", email=cell["email"]))
        if kind is None:
            reasons.append(row_problem("no clearance", kind=cell["kind"]))
        state = cell["state"].lower() or "clear"
        if state not in ("clear", "awaiting"):
            reasons.append(row_problem("by hand", state=cell["state"]))
        issued, expires = _day(cell["issued_on"], reasons), _day(cell["expires_on"], reasons)
        if state == "clear" and not cell["issued_on"]:
            reasons.append(row_problem("not issued"))
        if issued and issued > today:
            reasons.append(row_problem("in the future", day=cell["issued_on"]))
        if issued and expires and expires < issued:
            reasons.append(row_problem("expiry before issue"))
        key = (person, kind, state, issued, cell["reference"])
        if not reasons and key in seen:
            reasons.append(row_problem("row twice", line=seen[key]))
        if reasons:
            out.bad.append(BadRow(line, reasons))
            continue
        seen[key] = line
        out.good.append(
            {
                "volunteer_id": person,
                "kind_id": kind,
                "state": state,
                "issued_on": issued.isoformat() if issued else None,
                "expires_on": expires.isoformat() if expires else None,
                "reference": cell["reference"],
                "issuer": cell["issuer"],
            }
        )
    return out


def _cells(row: Mapping[str, str], head: Sequence[str], reasons: list[RowProblem]) -> dict[str, str]:
    return {name: cell_text(row, name, LONGEST.get(name, 300), reasons) for name in head}


def _point(latitude: str, longitude: str, reasons: list[RowProblem]) -> tuple[float | None, float | None]:
    if not latitude and not longitude:
        return None, None
    try:
        point = float(latitude), float(longitude)
    except ValueError:
        reasons.append(row_problem("no point"))
        return None, None
    if not (-90 <= point[0] <= 90 and -180 <= point[1] <= 180):
        reasons.append(row_problem("point out of range"))
    return point


def _day(text: str, reasons: list[RowProblem]) -> date | None:
    if not text:
        return None
    try:
        day = date.fromisoformat(text)
    except ValueError:
        reasons.append(row_problem("no date", typed=text))
        return None
    if not 1950 <= day.year <= 2100:
        reasons.append(row_problem("odd year", typed=text))
    return day
