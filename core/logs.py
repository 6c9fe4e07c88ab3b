"""What our records of the day may hold: what happened and where, and neither a row of a table nor a signed link."""

import logging
import re

__all__ = ["WithoutRows", "without_links"]

# PostgreSQL adds the row or the key that it refuses ("DETAIL:  Failing row contains (12, ...)"): names, birth dates.
# What was typed may go over several lines, so all goes up to where a traceback or the next mark goes on.
DETAIL = re.compile(
    r"^DETAIL:.*?(?=^(?:HINT|CONTEXT|QUERY|WHERE):|^\s*$\n\s*(?:The above|During handling)|^\S*Traceback |\Z)",
    re.DOTALL | re.MULTILINE,
)
# A signed link's facts, and the 43 letters of its signature (see core.links): it opens a page without an account.
LINK = re.compile(r"[A-Za-z0-9_=-]+(?::|%3A)[A-Za-z0-9_-]{43}(?![A-Za-z0-9_-])", re.IGNORECASE)


def without_links(text: str) -> str:
    return LINK.sub("(link)", text)


class WithoutRows(logging.Formatter):
    """The plain line, less what the database tells of the row that it refused, and less signed links."""

    def format(self, record: logging.LogRecord) -> str:
        line = DETAIL.sub("DETAIL: left out, since it shows the row.\n", super().format(record)).rstrip("\n")
        return without_links(line)
