"""A note as a mail: three templates, a calendar part where one belongs, and the headers that machines read."""

from datetime import datetime
from email.headerregistry import Address

import css_inline
from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.template.loader import render_to_string
from django.utils import translation

from outbox.letters.letter import Letter
from outbox.letters.registry import kind_of
from outbox.models import Note
from outbox.rules.calendar_part import calendar_part

__all__ = ["build"]

# Mail programs leave style sheets out, so every rule of the base template is written to its elements. It asks nobody
# for a file: what a letter needs is in it.
_STYLES = css_inline.CSSInliner(keep_style_tags=False, keep_link_tags=False, load_remote_stylesheets=False)


def build(note: Note, now: datetime) -> EmailMultiAlternatives:
    """The mail as of ``now``; raises Stale when the note should not go out any more."""
    kind = kind_of(note.kind)
    with translation.override(note.language):
        return _mail(note, kind.build(note, now), kind.folder)


def _mail(note: Note, letter: Letter, folder: str) -> EmailMultiAlternatives:
    context = letter.context | {
        "organisation": settings.ORGANISATION,
        # Whoever it was addressed to, even when somebody else answers at the center by now.
        "to_name": note.to_name,
        "organisation_phone": settings.ORGANISATION_PHONE,
    }
    subject = " ".join(render_to_string(f"{folder}/subject.txt", context).split())
    mail = EmailMultiAlternatives(
        subject=subject,
        body=render_to_string(f"{folder}/body.txt", context).strip() + "\n",
        from_email=_named(settings.ORGANISATION, settings.MAIL_FROM),
        to=[_named(note.to_name, note.to_email)],
        headers={
            "Message-ID": note.message_id,
            # RFC 3834 section 5: nobody's answering machine should answer this.
            "Auto-Submitted": "auto-generated",
            **_stop_headers(letter.stop),
        },
    )
    mail.attach_alternative(_STYLES.inline(render_to_string(f"{folder}/body.html", context)), "text/html")
    if letter.part is not None:
        # RFC 6047: the method parameter repeats the part's METHOD.
        text = calendar_part(letter.part).decode()
        mail.attach_alternative(text, f"text/calendar; method={letter.part.method}")
    return mail


def _stop_headers(address: str) -> dict[str, str]:
    """RFC 8058: one press in the mail program, answered by a POST without cookies."""
    if not address:
        return {}
    return {"List-Unsubscribe": f"<{address}>", "List-Unsubscribe-Post": "List-Unsubscribe=One-Click"}


def _named(name: str, email: str) -> str:
    """Name and address as one header value; raises ValueError or HeaderParseError for no address.

    A name is whatever somebody typed: a line break in it must not become a header, nor a comma a second person.
    """
    return str(Address(display_name=" ".join(name.split()), addr_spec=email))
