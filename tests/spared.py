"""Work that a process of tests does once where a site's process does it once, too."""

import gc

from whitenoise.middleware import WhiteNoiseMiddleware

__all__ = ["collect_seldom", "list_static_files_once"]


def list_static_files_once() -> None:
    """Each test client is a new site to WhiteNoise, which then looks for every static file: 12 ms a client."""
    look = WhiteNoiseMiddleware.add_files_from_finders
    found: dict[str, object] = {}

    def add_files_from_finders(self: WhiteNoiseMiddleware) -> None:
        if not found:
            look(self)
            found.update(self.files)
        self.files.update(found)

    WhiteNoiseMiddleware.add_files_from_finders = add_files_from_finders


def collect_seldom() -> None:
    """Half a million objects of Django, the tests and their fixtures stay to the end: nobody looks through them again.

    What one test leaves behind is looked through less often as well. That took a twentieth of the time.
    """
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 20, 20)
