"""COPPA, tried on the running program: only a grown-up is asked, and nothing of a child leaks to where others look.

16 CFR 312.2: a child is "an individual under the age of 13". 16 CFR 312.5: consent of a parent "before any collection,
use, or disclosure of personal information from children". standards.md section 6 has both with its advice: "guardian
fills the form; no child accounts". The rule binds commercial operators; a nonprofit follows it of its own will.
"""

import base64
import json
import logging
import re
from datetime import timedelta
from functools import partial
from html.parser import HTMLParser
from urllib.parse import unquote_plus

import pytest
from django.conf import settings as house
from django.db import connection, models
from django.test import Client
from django.urls import get_resolver, reverse

from clinics.models import AgeBand
from config.celery import app
from core import clock, links
from core.logs import WithoutRows
from families.letters.families import FAMILY_CANCELLED, WAIVER_ASK
from families.models import Child, FamilyRequest, Guardian, PickupPerson, Spot, Waiver, WaiverText
from families.services.waiver_reminders import plan_waiver_reminders
from outbox.models import Note
from outbox.tasks import send_notes
from people.models import User
from tests.families.register.typed import years
from tests.households import family_address, say
from tests.mailbox import Mailbox
from tests.street import ROOMS, ROOT

pytestmark = pytest.mark.django_db
MADE = ("name", "birth_date", "experience", "school_year", "allergies", "allergies_answer", "care_notes")
# Every field for a mail address or a telephone on a page of families, each a grown-up's.
GROWN_UP = re.compile(
    r"id_(?:email|phone|emergency_phone|others-\d-phone)|who-phone|address-email|invite-email|pickup_person-phone"
    r"|(?:emergency|new)-emergency_phone"
)
SECRET = ("Wrenna", "Fenella", "Thornapple", "hazelnut", "blue blanket")
REACHES = re.compile(r"mail|phone|tel\b|mobile|user|login|password|account|handle", re.IGNORECASE)


class Fields(HTMLParser):
    """Everything that a page asks for, and every address that it names."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.asked: list[dict[str, str]] = []
        self.addresses: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        facts = {name: value or "" for name, value in attrs}
        if tag in ("input", "select", "textarea") and facts.get("type") not in ("hidden", "submit"):
            self.asked.append(facts)
        self.addresses += [facts[name] for name in ("href", "action", "src", "formaction") if name in facts]


class Watched(Client):
    """A browser of which every request, every redirect and every page is kept."""

    def __init__(self) -> None:
        super().__init__()
        self.addresses: list[str] = []
        self.routes: set[str] = set()
        self.asked: dict[str, list[dict[str, str]]] = {}

    def request(self, **request):
        self.addresses.append(f"{request['PATH_INFO']}?{request.get('QUERY_STRING', '')}")
        answer = super().request(**request)
        self.addresses.append(answer.headers.get("Location", ""))
        self.addresses.append(answer.headers.get("Content-Disposition", ""))
        route = getattr(answer.resolver_match, "url_name", "") or ""
        self.routes.add(route)
        if answer.headers.get("Content-Type", "").startswith("text/html"):
            page = Fields(answer.content.decode())
            self.addresses += page.addresses
            self.asked.setdefault(route, []).extend(page.asked)
        return answer


@pytest.fixture
def phone():
    return Watched()


@pytest.fixture
def box(settings):
    with Mailbox() as running:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", running.port
        yield running


@pytest.fixture
def written(caplog):
    """What the day's records would hold at their most talkative, as the house writes them, and what lies behind."""
    for name in (None, "django.request", "django.security", "celery", "axes", "config", "outbox", "people", "clinics",
                 "scheduling"):  # fmt: skip
        caplog.set_level(logging.DEBUG, logger=name)

    def inner():
        out = []
        (plain,) = (
            one.formatter for one in logging.getLogger().handlers if isinstance(one.formatter, WithoutRows)
        )  # the console's, from settings.LOGGING
        for record in caplog.records:
            out.append(plain.format(record))
            more = {name: value for name, value in vars(record).items() if name not in ("exc_info", "exc_text")}
            out.append(repr(more))
        return out

    return inner


@pytest.fixture
def typed_two(typed, clinic):
    """Two children of whom the second waits, with something to look after each."""

    def inner(**more):
        return typed(
            guardian_name="Perdita Ash",
            email="perdita@example.org",
            signed="Perdita Ash",
            children=2,
            children__0__name="Wrenna Thornapple",
            children__0__allergies="hazelnuts",
            children__0__allergies_answer="some",
            children__0__care_notes="calm with her blue blanket",
            children__1__name="Fenella Thornapple",
            children__1__birth_date=years(9, clinic).isoformat(),
            children__1__experience="team",
            children__1__allergies="hazelnuts too",
            **more,
        )

    return inner


def secrets(clinic):
    """Names, notes and birthdays, the latter as people, addresses and Python would write them."""
    out = list(SECRET)
    for age in (8, 9):
        born = years(age, clinic)
        out += [
            born.isoformat(),
            f"{born:%d.%m.%Y}",
            f"{born.year}, {born.month}, {born.day}",
            f"{born:%B} {born.year}",
        ]
    return out


def told(texts, clinic):
    words = [word.lower() for word in secrets(clinic)]
    return [text for text in texts if any(word in unquote_plus(text).lower() for word in words)]


def links_in(box):
    text = "\n".join(
        mail.get_body(("plain",)).get_content() + str(mail["List-Unsubscribe"] or "") for mail in box.messages
    )
    return list(dict.fromkeys(re.findall(r"http://testserver(/[^\s<>,]+)", text)))


def do_jobs(*beginnings):
    """Every job of the timetable whose name begins so."""
    app.loader.import_default_modules()
    names = [one for one in app.conf.beat_schedule if one.startswith(beginnings)]
    assert names and all(app.tasks[one].apply().successful() for one in names)


def newest(box, start):
    return [one for one in links_in(box) if one.startswith(start)][-1]


def family_routes():
    """Every page that families reach without an account, by its name."""
    return {
        one.name
        for part in get_resolver().url_patterns
        for one in getattr(part, "url_patterns", [])
        if re.match(r"register/|family[/-]|spot/|copy/", str(one.pattern))
    }


def register_and_answer(phone, box, typed_two, clinic):
    """A guardian registers two children, confirms, changes, signs, gives a spot up and takes the one offered."""
    AgeBand.objects.filter(clinic=clinic).update(children=1)
    form = reverse("register-clinic", args=[clinic.pk])
    phone.get(reverse("register"))
    phone.get(form)
    phone.post(form, typed_two(add="children"))
    phone.post(form, typed_two(children__0__birth_date="yesterday"))
    assert phone.post(form, typed_two(), follow=True).status_code == 200
    send_notes.apply()
    phone.post(reverse("register"), {"email": "perdita@example.org"}, follow=True)
    send_notes.apply()
    page = newest(box, "/family/")
    phone.get(page)
    assert "Is this you?" in phone.get(page).content.decode()
    assert "Wrenna" in phone.post(page + "confirm/", follow=True).content.decode()
    guardian = Guardian.objects.get()
    for child in Child.objects.all():
        phone.get(family_address(guardian, route="family-child", args=[child.pk]))
        press = partial(say, phone, guardian)
        assert press("child-care", child).status_code == 200
        press("child-care-write", child, allergies="hazelnuts", care_notes="her blue blanket")
        press("child-emergency", child, emergency_name="Aunt Tansy", emergency_phone="555-0166")
        press("pickup-person-new", child, name="Uncle Bram", phone="555-0144", relation="uncle")
        press("pickup-person-end", child, PickupPerson.objects.filter(child=child).latest("pk"))
        press("child-change", child, name="", birth_date="", experience="new")
        press("child-sign", child, signed="Perdita Ash", text=WaiverText.objects.get(language="es").pk)
        press("waiver-withdraw", child, Waiver.objects.filter(child=child).latest("pk"))
        press("child-photos", child, allowed="no")
        press("child-invite", child, name="Rowan Moss", email="rowan@example.org")
    phone.get(family_address(guardian, route="family-child-new"))
    phone.get(family_address(guardian, route="family-signed", args=[Waiver.objects.earliest("pk").pk]))
    held = Spot.objects.get(child__name="Wrenna Thornapple")
    say(phone, guardian, "spot-give-up", held)
    send_notes.apply()
    offer = newest(box, "/spot/")
    phone.get(offer)
    assert phone.post(offer, {"answer": "yes"}, follow=True).status_code == 200
    again = Spot.objects.live().get(guardian=guardian)
    assert say(phone, guardian, "spot-yes", again).status_code == 302, "twice is once"
    say(phone, guardian, "spot-no", held)
    for language in ("es", "en"):
        say(phone, guardian, "language", language=language)
    say(phone, guardian, "who", name="Perdita Ash", phone="555-0123")
    say(phone, guardian, "reminders", wanted="yes")
    say(phone, guardian, "new-address", email="ash@example.org")
    send_notes.apply()
    phone.get(newest(box, "/family-address/"))
    for what in ("copy", "erasure"):
        say(phone, guardian, f"ask-{what}")
    say(phone, guardian, "new-link")
    guardian.refresh_from_db()
    phone.get(family_address(guardian))
    return guardian


def office_looks_and_ends(desk, admin_desk, phone, guardian, clinic, coordinator):
    """The office looks for the child, prints the door list, hands over a copy, and cancels the clinic."""
    child = Child.objects.get(name="Fenella Thornapple")
    found = desk.post(reverse("children"), {"q": "Fenella"}, follow=True).content.decode()
    assert reverse("child", args=[child.pk]) in found
    desk.get(reverse("children-csv") + "?named=1")
    assert desk.post(reverse("clinic-door", args=[clinic.pk]), follow=True).status_code == 200
    for name in ("clinic-door", "clinic-children", "clinic-poster", "clinic"):
        assert desk.get(reverse(name, args=[clinic.pk])).status_code == 200, name
    for name in ("child", "child-change", "guardian-new", "paper-waiver"):
        assert desk.get(reverse(name, args=[child.pk])).status_code == 200, name
    admin_desk.post(reverse("child-care", args=[child.pk]))
    admin_desk.post(reverse("clinic-door-care", args=[clinic.pk]))
    for what, act in (("copy", "grant"), ("erasure", "decline")):
        asked = FamilyRequest.objects.get(what=what)
        admin_desk.post(reverse("family-request-decide", args=[asked.pk]), {"act": act, "reason": "Asked by mistake."})
    page = phone.get(family_address(guardian)).content.decode()
    (copy,) = re.findall(r"/copy/[^\"]+", page)
    assert phone.get(copy).status_code == 200
    desk.post(reverse("waiver-withdraw", args=[child.pk, child.waivers.earliest("pk").pk]))
    Waiver.objects.filter(child=child).update(withdrawn_at=clock.now())
    plan_waiver_reminders(now=clock.now())
    # Not waited for.
    Note.objects.filter(kind=WAIVER_ASK).update(due_at=clock.now())
    send_notes.apply()
    assert Note.objects.filter(kind=WAIVER_ASK, state="sent").exists()
    cancel = reverse("clinic-cancel", args=[clinic.pk])
    seen = desk.get(cancel).context["effects"].fingerprint
    desk.post(cancel, {"because": "Snow", "seen": seen}, follow=True)
    send_notes.apply()
    assert Note.objects.filter(kind=FAMILY_CANCELLED, state="sent").exists()


@pytest.mark.thorough
def test_a_whole_journey_leaves_nothing_of_a_child_in_an_address_a_subject_or_a_record(
    phone, box, typed_two, clinic, make_clinic, coordinator, admin, written, move_clock
):
    later = make_clinic(days=20, children=9)
    guardian = register_and_answer(phone, box, typed_two, clinic)
    phone.get(family_address(guardian, route="family-clinic", args=[later.pk]))
    desk, admin_desk = Watched(), Watched()
    for client, account in ((desk, coordinator), (admin_desk, admin)):
        client.force_login(account, backend="django.contrib.auth.backends.ModelBackend")
    office_looks_and_ends(desk, admin_desk, phone, guardian, clinic, coordinator)
    phone.get(newest(box, "/family-stop/"))
    do_jobs("families.", "shifts.", "kits.", "runsheets.", "scheduling.")

    accounts = set(User.objects.values_list("email", flat=True))
    assert accounts == {coordinator.email, admin.email}, "a registration makes no account"
    theirs = {"perdita@example.org", "ash@example.org", "rowan@example.org", clinic.center.contact_email}
    assert {note.to_email for note in Note.objects.all()} <= theirs
    assert told(map(str, Note.objects.values_list("summary", "key", "to_name", "last_answer")), clinic) == []
    assert len(box.messages) > 8
    for mail in box.messages:
        assert told([f"{name}: {value}" for name, value in mail.items()], clinic) == []
    assert told(links_in(box), clinic) == []
    for address in links_in(box):
        token = address.strip("/").split("/")[1].split(".")[0].split(":")[0]
        facts = json.loads(base64.urlsafe_b64decode(token + "=" * (-len(token) % 4)))
        assert [type(one) for one in facts] == [int, int, int], "a link holds numbers and nothing else"

    everything_goes = clock.now() + timedelta(days=366 * 15)
    move_clock(everything_goes)
    do_jobs("families.purge", "people.forget", "runsheets.purge")
    assert not Child.objects.exclude(name="").exists()

    addresses = phone.addresses + desk.addresses + admin_desk.addresses
    assert len(addresses) > 300 and told(addresses, clinic) == []
    records = written()
    assert any("outbox.send_notes" in one for one in records) and any("request" in one for one in records)
    assert told(records, clinic) == []
    lines = [one for one in records if "/family/" in one and " WARNING django.request " in one]
    assert lines and all("/family/(link)/" in one for one in lines), "a line of ours opens no family's page"


@pytest.mark.thorough
def test_no_page_of_families_asks_a_child_for_a_way_to_reach_it(
    phone, box, typed_two, clinic, make_clinic, coordinator, admin
):
    later = make_clinic(days=20, children=9)
    guardian = register_and_answer(phone, box, typed_two, clinic)
    phone.get(family_address(guardian, route="family-clinic", args=[later.pk]))
    desk, admin_desk = Watched(), Watched()
    for client, account in ((desk, coordinator), (admin_desk, admin)):
        client.force_login(account, backend="django.contrib.auth.backends.ModelBackend")
    office_looks_and_ends(desk, admin_desk, phone, guardian, clinic, coordinator)
    phone.get(newest(box, "/family-stop/"))

    assert family_routes() - phone.routes == set(), "a page of families that this walk does not open"
    reached = set()
    for route, fields in phone.asked.items():
        for one in fields:
            kind = one.get("type", "text")
            if kind in ("email", "tel", "password") or REACHES.search(f"{one.get('name')} {one.get('autocomplete')}"):
                assert GROWN_UP.fullmatch(one.get("id", "")), (route, one)
                reached.add(one["id"])
            ticked = one.get("type") == "checkbox"  # which child comes, from those that the guardian has
            if one.get("name", "").startswith("children-") or (one.get("id", "").startswith("child-") and not ticked):
                assert re.sub(r"^(children-\d-|child-)", "", one["name"]) in MADE, (route, one)
    assert {"id_email", "id_phone", "invite-email", "who-phone", "new-emergency_phone"} <= reached
    assert any(one.get("name") == "children-1-allergies" for one in phone.asked["register-clinic"])


def test_a_child_can_be_no_account_and_no_note_is_written_to_one():
    """By the tables themselves: no field to reach a child by, no way from a child to an account or a note."""
    fields = Child._meta.get_fields()
    own = {field.name for field in fields if field.concrete}
    assert own == {
        "id", "name", "birth_date", "experience", "school_year", "allergies", "allergies_answer", "care_notes",
        "has_care", "registered_at",
        "redacted_at", "held_because", "forgotten_at",
    }  # fmt: skip
    assert not [field for field in fields if isinstance(field, (models.EmailField, models.URLField))]
    related = {field.related_model for field in fields if field.is_relation}
    assert User not in related and Note not in related
    for model in (User, Note):
        assert Child not in {field.related_model for field in model._meta.get_fields() if field.is_relation}


def purposes():
    """Every purpose that a link is made or read for, as the code names them."""
    found = set()
    making = r"(?:links\.(?:make|read)\(|subject_of\(request,|Stop\()\s*\"([a-z-]+)\""
    for room in ROOMS:
        for path in (ROOT / room).rglob("*.py"):
            found |= set(re.findall(making, path.read_text()))
    return found


@pytest.mark.thorough
def test_no_link_of_any_purpose_speaks_of_a_child(clinic, phone, typed_two, now):
    """Each purpose with a child's own number, at each page that takes a link: none of them opens anything."""
    child = Child.objects.create(pk=9_000_001, name="Wrenna Thornapple", birth_date=years(8, clinic), registered_at=now)
    routes = [
        one
        for part in get_resolver().url_patterns
        for one in getattr(part, "url_patterns", [])
        if "<str:token>" in str(one.pattern)
    ]
    known = purposes()
    assert {"family", "spot", "registered", "copy", "family-address"} <= known and len(known) > 12 < len(routes)
    assert {"reminders", "family-reminders", "apply"} <= known
    tried = 0
    for purpose in known:
        token = links.make(purpose, subject=child.pk, counter=0, expires_at=now + timedelta(days=3))
        for route in routes:
            numbers = [child.pk] * str(route.pattern).count("<int:")
            address = reverse(route.name, args=[token, *numbers])
            tried += 1
            # A caller of its own each time: after many that don't work an address has to wait.
            caller = f"198.51.{tried // 250}.{tried % 250}"
            answer = phone.get(address, REMOTE_ADDR=caller)
            if answer.status_code == 405:
                answer = phone.post(address, REMOTE_ADDR=caller)
            # The office's own calendar has no subject to speak of: one row, whatever the number.
            if (purpose, route.name) == ("office-feed", "office-feed-ics"):
                assert b"Wrenna" not in answer.content
                continue
            assert answer.status_code in (404, 410), (purpose, route.name, answer.status_code)


def test_a_refusal_of_the_database_writes_no_row_into_the_records(phone, typed_two, clinic, written):
    """PostgreSQL's DETAIL holds the whole refused row; the record keeps that it was refused and where."""
    phone.raise_request_exception = False
    with connection.cursor() as cursor:
        cursor.execute("ALTER TABLE families_child ADD CONSTRAINT not_her CHECK (name NOT LIKE 'Wrenna%')")
    assert phone.post(reverse("register-clinic", args=[clinic.pk]), typed_two()).status_code == 500
    lines = [one for one in written() if "not_her" in one]

    assert any("Traceback" in one and "registering.py" in one for one in lines) and told(lines, clinic) == []
    assert house.ADMINS == [], "nobody is mailed what a broken page held"
    assert house.CELERY_WORKER_HIJACK_ROOT_LOGGER is False, "workers write as the pages do"
    assert Spot.objects.count() == 0
