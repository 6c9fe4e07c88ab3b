"""What our records of the day may hold: what happened and where, and never a row of a table."""

import logging
import re

__all__ = ["WithoutRows"]

# PostgreSQL adds the row or the key that it refuses ("DETAIL:  Failing row contains (12, ...)"): names, birth dates.
# What was typed may go over several lines, so all goes up to where a traceback or the next mark goes on.
DETAIL = re.compile(
    r"^DETAIL:.*?(?=^(?:HINT|CONTEXT|QUERY|WHERE):|^\s*$\n\s*(?:The above|During handling)|^\S*Traceback |\Z)",
    re.DOTALL | re.MULTILINE,
)


class WithoutRows(logging.Formatter):
    """The plain line, less what the database tells of the row that it refused."""

    def format(self, record: logging.LogRecord) -> str:
        return DETAIL.sub("DETAIL: left out, since it shows the row.\n", super().format(record)).rstrip("\n")
