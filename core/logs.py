"""Keeps table rows and signed links out of our logs, which say only what happened and where."""

import logging
import re

__all__ = ["WithoutRows", "without_links"]

# PostgreSQL adds the row or the key that it refuses ("DETAIL:  Failing row contains (12, ...)"): names, birth dates.
# Typed text may have several lines, so everything is removed up to a traceback or the next mark.
DETAIL = re.compile(
    r"^DETAIL:.*?(?=^(?:HINT|CONTEXT|QUERY|WHERE):|^\s*$\n\s*(?:The above|During handling)|^\S*Traceback |\Z)",
    re.DOTALL | re.MULTILINE,
)
# A signed link's facts, and the 43 letters of its signature (see core.links): it opens a page without an account.
LINK = re.compile(r"[A-Za-z0-9_=-]+(?::|%3A)[A-Za-z0-9_-]{43}(?![A-Za-z0-9_-])", re.IGNORECASE)


def without_links(text: str) -> str:
    return LINK.sub("(link)", text)


class WithoutRows(logging.Formatter):
    """Formats a plain line without signed links, and without what the database tells of a row that it refused."""

    def format(self, record: logging.LogRecord) -> str:
        line = DETAIL.sub("DETAIL: left out, since it shows the row.\n", super().format(record)).rstrip("\n")
        return without_links(line)
