"""The address a request came from, behind as many proxies of ours as PROXY_COUNT says."""

from typing import Any

from django.conf import settings
from django.http import HttpRequest

__all__ = ["caller_address", "typed_account"]


def caller_address(request: HttpRequest) -> str:
    """The last address that none of our own proxies wrote; what a caller adds in front of it is not believed."""
    if settings.PROXY_COUNT:
        hops = [hop.strip() for hop in request.META.get("HTTP_X_FORWARDED_FOR", "").split(",") if hop.strip()]
        if len(hops) >= settings.PROXY_COUNT:
            return hops[-settings.PROXY_COUNT]
    return str(request.META.get("REMOTE_ADDR", ""))


def typed_account(request: HttpRequest | None, credentials: dict[str, Any] | None = None) -> str:
    """The account that somebody tries to open, in one spelling: capitals must not buy further tries."""
    typed = (credentials or {}).get("username") or (request.POST.get("username", "") if request else "")
    return str(typed).strip().lower()[:255]
