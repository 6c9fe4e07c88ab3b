"""How production keeps static files: without our comments, and named by content, so that a browser keeps each."""

import re
from typing import Any

from django.core.files.base import ContentFile
from whitenoise.storage import CompressedManifestStaticFilesStorage

__all__ = ["HashedFiles", "without_comments"]

# The one way in which our modules import each other: one line, a relative path.
IMPORT = r"""(?m)^(?P<matched>import (?P<names>.+) from "(?P<url>\./[^"]+)";)$"""
# Which of our own files are written for people to read: their comments are a tenth of what a phone would load.
OURS = {
    re.compile(r"floor/[^/]+\.js"): re.compile(r"(?m)^[ \t]*//.*\n"),
    re.compile(r"core/whistlestop(?:\.[0-9a-f]+)?\.css"): re.compile(r"(?s)/\*.*?\*/"),
}


def without_comments(name: str, text: str) -> str:
    """``text`` without comments where the file is ours: whole lines of a script, all of a stylesheet's."""
    for names, comments in OURS.items():
        if names.fullmatch(name):
            return comments.sub("", text)
    return text


class HashedFiles(CompressedManifestStaticFilesStorage):
    """Static files in which a module imports another by the same name as the page does.

    Django's own switch for that reads every script, and finds imports in the comments of other libraries.
    """

    patterns = (
        *CompressedManifestStaticFilesStorage.patterns,
        ("floor/*.js", ((IMPORT, """import %(names)s from "%(url)s";"""),)),
    )

    def _save(self, name: str, content: Any) -> str:
        if any(names.fullmatch(name.replace("\\", "/")) for names in OURS):
            # Whoever worked out its name has read it to the end.
            content.seek(0)
            text = content.read()
            text = text.decode() if isinstance(text, bytes) else text
            content = ContentFile(without_comments(name, text).encode())
        return str(super()._save(name, content))
