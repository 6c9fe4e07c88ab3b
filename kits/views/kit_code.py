"""The picture on a bag that a phone's camera reads."""

import segno
from django.conf import settings
from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext

from kits.models import Kit

__all__ = ["code_picture"]


def code_picture(kit: Kit) -> SafeString:
    """An inline picture that opens the page on which the kit is handed over."""
    address = settings.SITE_URL + reverse("kit-move", args=[kit.pk])
    title = gettext("Scan to update the location of %(kit)s") % {"kit": kit}
    return mark_safe(segno.make(address, error="m").svg_inline(scale=4, border=2, title=title))
