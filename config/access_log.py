"""gunicorn's log of requests without signed links, since anyone who has a link can open its page."""

from typing import Any

from gunicorn.glogging import Logger

from core.logs import without_links

__all__ = ["WithoutLinks"]


class WithoutLinks(Logger):
    def atoms(self, resp: Any, req: Any, environ: Any, request_time: Any) -> dict[str, Any]:
        found: dict[str, Any] = super().atoms(resp, req, environ, request_time)
        return {name: without_links(value) if isinstance(value, str) else value for name, value in found.items()}
