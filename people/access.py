"""The account behind a request, for services that want to know who acts."""

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest

from people.models import User

__all__ = ["account"]


def account(request: HttpRequest) -> User:
    """The account that is logged in. Views that call this carry ``core.access.may``, so a stranger never gets here."""
    if isinstance(request.user, User):
        return request.user
    raise PermissionDenied
