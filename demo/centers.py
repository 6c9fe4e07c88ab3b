"""The demo's centers in depth: contacts and what they answer, papers (one expires, one is missing), a drawn photo."""

from datetime import date, datetime, timedelta
from io import BytesIO

from PIL import Image, ImageDraw

from clinics.models import AgreementKind, Center, CenterContact, Space
from clinics.rules.papers import paper_name, paper_type
from clinics.rules.pictures import make_photo
from clinics.services.agreements import Paper, record_agreement
from clinics.services.photos import add_photo
from people.models import User

__all__ = ["centers_in_depth"]

# center, name, mail, telephone, answers for hours, looks after agreements, opens the door
_CONTACTS = (
    ("Alderwick", "Roderick Amble", "roderick@example.org", "555-0161", True, False, False),
    ("Alderwick", "Linnea Farrow", "", "555-0162", False, False, True),
    ("Quarry", "Iphigenia Marl", "iphigenia@example.org", "555-0163", False, True, False),
    ("Saint Orla", "Barnaby Tew", "", "555-0164", False, False, True),
    ("Harrow", "Clemency Oake", "clemency@example.org", "555-0165", False, True, True),
)

# center, kind, first and last day from today, reference. Three Weirs has shown no insurance yet; Quarry Lane's ends
# before its later clinic; Alderwick's older one stays to be read.
_PAPERS = (
    ("Alderwick", "use", -400, 330, "Lease of hours 2026/14"), ("Alderwick", "insurance", -470, -106, "LM-20417"),
    ("Alderwick", "insurance", -105, 260, "LM-31022"), ("Quarry", "use", -200, 530, "Letter of May 9"),
    ("Quarry", "insurance", -358, 7, "LM-28870"), ("Three Weirs", "use", -90, 275, "District form 7"),
    ("Saint Orla", "use", -150, 215, "Parish council, item 12"), ("Saint Orla", "insurance", -20, 345, "LM-33518"),
    ("Harrow", "use", -60, 305, "Community house, room plan"),
)  # fmt: skip


def centers_in_depth(*, by: User, now: datetime, today: date) -> None:
    centers = {center.name: center for center in Center.objects.all()}

    def called(begins: str) -> Center:
        return next(center for name, center in centers.items() if name.startswith(begins))

    for begins, name, email, phone, hours, papers, door in _CONTACTS:
        CenterContact.objects.create(
            center=called(begins), name=name, email=email, phone=phone, answers_bookings=hours,
            looks_after_agreements=papers, opens_door=door,
        )  # fmt: skip
    for begins, kind, first, last, reference in _PAPERS:
        center = called(begins)
        raw = _paper(f"{AgreementKind(kind).label}\n{center.name}\n{reference}\n\nMade up for the demo.")
        content_type = paper_type(raw)
        name = paper_name(f"{AgreementKind(kind).label}, {reference.replace('/', ' ')}.pdf", content_type)
        record_agreement(
            center=center, kind=AgreementKind(kind), from_day=today + timedelta(days=first),
            until_day=today + timedelta(days=last), reference=reference, paper=Paper(raw, name, content_type), by=by,
            now=now + timedelta(days=min(first, -1)),
        )  # fmt: skip
    # A house that is insured by its town, so no certificate is asked for.
    Center.objects.filter(pk=called("Harrow").pk).update(asks_insurance=False)
    _rooms(called("Saint Orla"), by, now)


def _rooms(center: Center, by: User, now: datetime) -> None:
    Space.objects.update(tables=4)
    space = Space.objects.get(center=center)
    space.tables, space.wifi = 6, True
    space.save()
    words = "The hall from the stage: a hoop at the far wall, double doors on the left."
    add_photo(space=space, photo=make_photo(_drawn_space()), alt=words, by=by, now=now - timedelta(days=12))


def _paper(words: str) -> bytes:
    sheet = Image.new("L", (620, 877), "white")
    ImageDraw.Draw(sheet).multiline_text((70, 90), words, fill="black", font_size=24, spacing=14)
    out = BytesIO()
    sheet.save(out, "PDF", resolution=75)
    return out.getvalue()


def _drawn_space() -> bytes:
    """A hall in one-point perspective: boards, lines, doors, a hoop."""
    wide, high, horizon = 1200, 800, 340
    picture = Image.new("RGB", (wide, high), "#EFE7D6")
    pen = ImageDraw.Draw(picture)
    pen.polygon([(0, high), (300, horizon), (900, horizon), (wide, high)], fill="#D9A866")
    for step in range(25):
        pen.line([(step * 50, high), (300 + step * 25, horizon)], fill="#B97A3B", width=2)
    pen.polygon([(0, 0), (300, 90), (300, horizon), (0, high)], fill="#D8D2C0")
    pen.polygon([(wide, 0), (900, 90), (900, horizon), (wide, high)], fill="#DDD7C6")
    pen.polygon([(70, 220), (170, 225), (170, 520), (70, 650)], fill="#8A5A00")
    pen.line([(120, 222), (120, 582)], fill="#5C3C00", width=4)
    for left in (380, 560, 740):
        pen.rectangle([left, 110, left + 80, 170], fill="#BFD4E4", outline="#56646F", width=3)
    pen.polygon([(470, horizon), (730, horizon), (860, 620), (340, 620)], outline="#FFFEFA", width=6)
    pen.ellipse([430, 560, 770, 690], outline="#FFFEFA", width=6)
    pen.rectangle([545, 195, 655, 268], fill="#FFFEFA", outline="#1F2D3A", width=4)
    pen.rectangle([580, 228, 620, 256], outline="#A3301F", width=3)
    pen.ellipse([575, 258, 625, 274], outline="#A3301F", width=5)
    for step in range(5):
        pen.line([(578 + step * 11, 270), (584 + step * 8, 306)], fill="#56646F", width=2)
    out = BytesIO()
    picture.save(out, "JPEG", quality=90)
    return out.getvalue()
