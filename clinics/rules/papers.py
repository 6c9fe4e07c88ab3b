"""Tells what a file that someone uploads really is, by its content and never by its name.

PDF: ISO 32000-1 section 7.5 (header "%PDF-1.x", "startxref" and "%%EOF" at the end). PNG: the eight bytes of its
specification's section 5.2. JPEG: the SOI marker of ISO/IEC 10918-1 annex B. Pictures are decoded to their end too.
"""

from __future__ import annotations

import re
import unicodedata

from clinics.rules.pictures import check_picture
from core.rules.refused import Refused

__all__ = ["MOST_PAPER_BYTES", "paper_name", "paper_type"]

MOST_PAPER_BYTES = 5 * 1024 * 1024
ENDINGS = {"application/pdf": "pdf", "image/jpeg": "jpg", "image/png": "png"}
# What is asked of the end of a PDF is looked for in so many last bytes: readers allow for some that follow.
TAIL = 2048


def paper_type(raw: bytes, name: str = "") -> str:
    """The content type of a PDF, JPEG or PNG.

    Raises Refused for anything else: "empty document", "large document", "incomplete pdf", "not as named", "no
    document", and what ``check_picture`` raises.
    """
    if not raw:
        raise Refused.because("empty document")
    if len(raw) > MOST_PAPER_BYTES:
        raise Refused.because("large document")
    if re.match(rb"%PDF-[12]\.\d", raw):
        tail = raw[-TAIL:]
        if b"%%EOF" not in tail or b"startxref" not in tail:
            raise Refused.because("incomplete pdf")
        return "application/pdf"
    if raw.startswith(b"\x89PNG\r\n\x1a\n"):
        check_picture(raw, "PNG")
        return "image/png"
    if raw.startswith(b"\xff\xd8\xff"):
        check_picture(raw, "JPEG")
        return "image/jpeg"
    said = re.search(r"\.(pdf|jpe?g|png)$", name.lower())
    if said:
        kind = {"pdf": "PDF", "png": "PNG"}.get(said[1], "JPEG")
        raise Refused.because("not as named", kind=kind)
    raise Refused.because("no document")


def paper_name(sent: str, content_type: str) -> str:
    """Make a file name that is safe in any folder: no path, no odd sign, and the ending that the content has."""
    last = re.split(r"[/\\]", unicodedata.normalize("NFC", sent))[-1]
    stem = re.sub(r"\.[^.]{0,5}$", "", last)
    kept = "".join(sign if sign.isalnum() or sign in " -_,()" else "-" for sign in stem)
    kept = re.sub(r"[-\s]{2,}", "-", kept).strip(" -_,")[:80].strip(" -_,")
    return f"{kept or 'paper'}.{ENDINGS[content_type]}"
