"""The IP address of a request that passed as many of our own proxies as PROXY_COUNT says."""

from typing import Any

from django.conf import settings
from django.http import HttpRequest

__all__ = ["caller_address", "typed_account"]


def caller_address(request: HttpRequest) -> str:
    """The address that our outermost proxy wrote down. Whatever the caller put in front of it is ignored."""
    if settings.PROXY_COUNT:
        hops = [hop.strip() for hop in request.META.get("HTTP_X_FORWARDED_FOR", "").split(",") if hop.strip()]
        if len(hops) >= settings.PROXY_COUNT:
            return hops[-settings.PROXY_COUNT]
    return str(request.META.get("REMOTE_ADDR", ""))


def typed_account(request: HttpRequest | None, credentials: dict[str, Any] | None = None) -> str:
    """The account name that was typed, in one spelling, so that capitals give no further tries."""
    typed = (credentials or {}).get("username") or (request.POST.get("username", "") if request else "")
    return str(typed).strip().lower()[:255]
