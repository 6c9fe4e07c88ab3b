"""How production names static files: by what is in them, so that a browser may keep each for good."""

from whitenoise.storage import CompressedManifestStaticFilesStorage

__all__ = ["HashedFiles"]

# The one way in which our modules import each other: one line, a relative path.
IMPORT = r"""(?m)^(?P<matched>import (?P<names>.+) from "(?P<url>\./[^"]+)";)$"""


class HashedFiles(CompressedManifestStaticFilesStorage):
    """Static files in which a module imports another by the same name as the page does.

    Django's own switch for that reads every script, and finds imports in the comments of other libraries.
    """

    patterns = (
        *CompressedManifestStaticFilesStorage.patterns,
        ("floor/*.js", ((IMPORT, """import %(names)s from "%(url)s";"""),)),
    )
