"""What the words on a page may not be: retired ones, a plural after one thing, a day without its year.

`visible` reads a page as its reader does; `trouble_in` names what is wrong with a text. DEVELOPERS.md has the rules.
"""

import re
from datetime import date
from html.parser import HTMLParser

__all__ = ["RETIRED", "Seen", "trouble_in", "visible"]

# Words that the house gave up for plainer ones, as patterns over visible text (case does not matter).
RETIRED = r"""
\b(some|no|any|every)body\b
\b(fortnight|nought|anew|whomever|thrice)\b
\btelephon(e|ed|es)\b
\b(by|our|newest|unwanted) mail\b
\bmail (address|me|them|us|catcher)\b
\be-mail\b
\bin date\b
\b(lapse|lapses|lapsed|lapsing)\b
\b(can.?t|could|may|would) stand\b
\bstand(s|ing)?[- ]by\b
\bin (the|our) books\b
\b(take|takes|taken|taking) (back|away|up again)\b
\b(not|can.?t be|were|being) taken\b
\b(give|gives|given|gave) back\b
\bset-up\b|\btake-down\b
\bcollect(s|ed|or|ors)?\b
\bpurge[ds]?\b|\bforgotten\b|\bbe forgotten\b
\b(goes|gone|went) by\b|\bha(s|ve) begun\b
\b(has|have) not come yet\b
\bby (itself|themselves)\b
\b(is|are) being (told|asked|sent|mailed)\b
\bwritten to\b
\bwe (write|wrote) to\b
\bnone sooner\b|\bas things stand\b
\bopening (it|the page|this page) answers nothing\b
\bleave it as it (is|was)\b
\bmake it so\b|\bthrow .* away\b
\bof (ours|theirs|yours)\b
\bgrown[- ]up\b|\bhouseholds?\b
\bwaits? (as number|no longer)\b
\bthe (later|earlier) ones\b
\b(of|in) (its|this|one|the) row\b
\bkinds? of kits?\b|\bof no kind\b
\bin a hundred\b|\ba head\b
\bpast its last day\b|\bhas its last day\b
\bbreaks? (a|the) clinic\b
\bas the crow flies\b
\bscrolls sideways\b
\bwaiting for a worker\b|\bthe worker\b
\bwithout scripts\b
\bpress(es|ed)?\b(?! conference)
\btick(ed|s)?\b
organis|recognis|neighbour|judgement|licence|defence|\bgrey\b
\bcar park\b|\bhall floor\b
""".strip().splitlines()

_NOUNS = "hour|day|month|child|clinic|kit|hoop|ball|adult|volunteer|family|guardian|minute|week|year|shift|spot|email"
_PLURALS = (
    "hours|days|months|children|clinics|kits|hoops|balls|adults|volunteers|families|guardians|minutes|weeks|years"
)
COUNTS = (
    rf"(?<![\d.,:–-])\b1 ({_PLURALS}|minutes|weeks|years|shifts|spots|emails)\b",
    rf"(?<![\d.])\b(?!1\b)\d[\d,]* ({_NOUNS})\b(?! old)",
)
_PATTERNS = [re.compile(one, re.IGNORECASE) for one in (*RETIRED, *COUNTS)]
# The same in Spanish, and the words that Spanish gave up: a child has a "lugar".
_SPANISH = [
    re.compile(one, re.IGNORECASE)
    for one in (
        r"(?<![\d.,:–-])\b1 (horas|días|meses|lugares|niñas y niños|semanas|años|encuentros|minutos)\b",
        r"(?<![\d.])\b(?!1\b)\d[\d,]* (hora|día|mes|lugar|semana|año|encuentro|minuto)\b",
        r"\bplazas?\b",
    )
]

_DAYS = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"]
_MONTHS = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
]
_SHORT = "|".join(name[:3] for name in _MONTHS)
_OTHER_ORDER = re.compile(rf"\b\d{{1,2}}\.? (?:{'|'.join(_MONTHS)}|(?:{_SHORT})\b)")
_WEEKDAY = re.compile(
    rf"\b({'|'.join(f'{name[:3]}(?:{name[3:]})?' for name in _DAYS)}), "
    rf"({'|'.join(f'{name[:3]}(?:{name[3:]})?' for name in _MONTHS)}) (\d{{1,2}})\b(, \d{{4}})?"
)

_SILENT = {"script", "style", "template"}
_INLINE = {"a", "b", "i", "em", "strong", "span", "small", "time", "abbr", "code", "sup", "sub", "mark", "kbd", "u"}
_SPOKEN = ("aria-label", "title", "placeholder", "alt")


class Seen(HTMLParser):
    """The texts of a page, one for each block, and those that only a screen reader or a hover says."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.texts: list[str] = [""]
        self._silent = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in _SILENT:
            self._silent += 1
        said = dict(attrs)
        if tag not in _INLINE:
            self.texts.append("")
        for name in _SPOKEN:
            if said.get(name):
                self.texts[-1:-1] = [said[name] or ""]
        if tag == "input" and said.get("type") in ("submit", "button") and said.get("value"):
            self.texts[-1:-1] = [said["value"] or ""]
        if tag == "meta" and said.get("name") == "description":
            self.texts[-1:-1] = [said.get("content") or ""]

    def handle_endtag(self, tag: str) -> None:
        if tag in _SILENT:
            self._silent -= 1
        if tag not in _INLINE:
            self.texts.append("")

    def handle_data(self, data: str) -> None:
        if not self._silent:
            self.texts[-1] += data


def visible(html: str) -> list[str]:
    """Each block's text on one line, in the order of the page."""
    seen = Seen()
    seen.feed(html)
    seen.close()
    lines = (re.sub(r"\s+", " ", text).strip() for text in seen.texts)
    return [line for line in lines if line]


def trouble_in(texts: list[str], year: int, *, english: bool = True) -> list[str]:
    """What is wrong in texts of a day in `year`: the pattern or the rule, and the words around it."""
    found = []
    for text in texts:
        if not english:
            found += [f"{said.group(0)!r} in {_around(text, said)!r}" for one in _SPANISH if (said := one.search(text))]
            continue
        for pattern in _PATTERNS:
            if said := pattern.search(text):
                found.append(f"{said.group(0)!r} in {_around(text, said)!r}")
        if said := _OTHER_ORDER.search(text):
            found.append(f"day before month in {_around(text, said)!r}")
        for said in _WEEKDAY.finditer(text):
            if not said.group(4) and not _is_of(year, *said.groups()[:3]):
                found.append(f"another year's day without its year in {_around(text, said)!r}")
    return found


def _around(text: str, said: re.Match[str]) -> str:
    return text[max(0, said.start() - 60) : said.end() + 40]


def _is_of(year: int, name: str, month: str, day: str) -> bool:
    number = next(i for i, one in enumerate(_MONTHS, 1) if one.startswith(month[:3]))
    try:
        return _DAYS[date(year, number, int(day)).weekday()].startswith(name[:3])
    except ValueError:
        return False
