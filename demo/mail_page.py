"""The demo's letter box: what the mail catcher took, so that a person can follow the links in it.

The addresses exist only where MAIL_CATCHER_DIR is set, and nothing here is for a real installation.
"""

import email
import re
from dataclasses import dataclass
from datetime import UTC, datetime
from email.message import EmailMessage
from email.policy import default as policy
from email.utils import getaddresses, parseaddr
from pathlib import Path

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

__all__ = ["mail_list", "mail_one"]

NAME = re.compile(r"\d{10,25}-[0-9a-f]{8}", re.ASCII)
ADDRESS = re.compile(r"(https?://[^\s<>\"]*[^\s<>\".,;:!?)])")
HEADERS = ("From", "To", "Subject", "Date", "Reply-To", "Message-ID", "List-Unsubscribe", "Auto-Submitted")
SHOWN = 200  # letters on the list


@dataclass(frozen=True)
class Letter:
    """One caught message; ``name`` is its file's name without the ending and sorts by arrival."""

    name: str
    to: str
    subject: str
    arrived_at: datetime
    message: EmailMessage

    def text(self, subtype: str) -> str:
        """The first part of this text subtype ("plain", "html", "calendar"), or an empty text."""
        for part in self.message.walk():
            if part.get_content_type() == f"text/{subtype}" and isinstance(part, EmailMessage):
                return read_text(part)
        return ""

    def headers(self) -> list[tuple[str, str]]:
        return [(name, str(self.message[name])) for name in HEADERS if self.message[name]]


@require_safe
def mail_list(request: HttpRequest) -> HttpResponse:
    names = sorted((path.stem for path in folder().glob("*.eml") if NAME.fullmatch(path.stem)), reverse=True)
    letters = [read_letter(name) for name in names[:SHOWN]]
    return render(request, "demo/mail_list.html", {"letters": letters, "older": max(0, len(names) - SHOWN)})


@require_safe
def mail_one(request: HttpRequest, name: str) -> HttpResponse:
    """One letter; with ``?part=html`` its HTML part alone, kept from running or fetching anything."""
    if not NAME.fullmatch(name):
        raise Http404
    letter = read_letter(name)
    html = letter.text("html")
    if request.GET.get("part") == "html":
        if not html:
            raise Http404
        # django-csp leaves a header that is already there as it is.
        return HttpResponse(html, headers={"Content-Security-Policy": HTML_PART_POLICY})
    context = {
        "letter": letter,
        "text": with_links(letter.text("plain")),
        "has_html": bool(html),
        "calendar": letter.text("calendar"),
    }
    return render(request, "demo/mail_one.html", context)


# Links may open in the page itself; pictures, scripts, forms and frames may not.
HTML_PART_POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'; "
    "sandbox allow-top-navigation-by-user-activation"
)


def folder() -> Path:
    return Path(settings.MAIL_CATCHER_DIR)


def read_letter(name: str) -> Letter:
    try:
        message = email.message_from_bytes((folder() / f"{name}.eml").read_bytes(), policy=policy)
    except FileNotFoundError:
        raise Http404 from None
    envelope = [str(value) for value in message.get_all("X-Envelope-To", [])]
    people = getaddresses([str(message["To"] or "")]) or [parseaddr(one) for one in envelope]
    return Letter(
        name=name,
        to=", ".join(person or address for person, address in people) or ", ".join(envelope),
        subject=str(message["Subject"] or gettext("(no subject line)")),
        arrived_at=datetime.fromtimestamp(int(name.split("-")[0]) / 1e9, tz=UTC),
        message=message,
    )


def read_text(part: EmailMessage) -> str:
    try:
        return str(part.get_content())
    except LookupError:
        # It names an alphabet that nobody knows; the plain letters in it can still be read.
        return bytes(part.get_payload(decode=True) or b"").decode("ascii", "replace")


def with_links(text: str) -> SafeString:
    """The text with its web addresses made into links and everything else made harmless."""
    pieces = ADDRESS.split(text)
    return format_html_join(
        "",
        "{}",
        ((format_html('<a href="{}">{}</a>', piece, piece) if at % 2 else piece,) for at, piece in enumerate(pieces)),
    )
