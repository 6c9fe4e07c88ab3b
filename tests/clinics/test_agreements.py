"""A center's papers: the rule by day, files told by their content, the page, and who gets hold of a file."""

from datetime import date, timedelta
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from clinics.models import Agreement
from clinics.rules.agreements import AgreementState, Held, State, agreement_state, due_step
from clinics.rules.papers import MOST_PAPER_BYTES, paper_name, paper_type
from clinics.words.files import file_words
from core import clock
from core.rules.refused import Refused

D = date
PDF = b"%PDF-1.7\n1 0 obj\n<<>>\nendobj\nstartxref\n9\n%%EOF\n"


def picture(kind="PNG", size=(40, 30)):
    out = BytesIO()
    Image.new("RGB", size, "white").save(out, kind)
    return out.getvalue()


OLD, NEW = Held(1, D(2026, 1, 1), D(2026, 12, 31)), Held(2, D(2027, 1, 1), D(2027, 12, 31))


@pytest.mark.parametrize(
    ("held", "on", "found"),
    [
        ([], D(2026, 5, 1), AgreementState(State.MISSING)),
        ([OLD], D(2025, 12, 31), AgreementState(State.MISSING, begins=D(2026, 1, 1))),
        ([OLD], D(2026, 1, 1), AgreementState(State.CURRENT, 1, D(2026, 12, 31))),
        ([OLD], D(2026, 11, 1), AgreementState(State.EXPIRES_SOON, 1, D(2026, 12, 31))),
        ([OLD], D(2026, 10, 31), AgreementState(State.CURRENT, 1, D(2026, 12, 31))),
        ([OLD], D(2026, 12, 31), AgreementState(State.EXPIRES_SOON, 1, D(2026, 12, 31))),
        ([OLD], D(2027, 1, 1), AgreementState(State.EXPIRED, 1, D(2026, 12, 31))),
        ([NEW, OLD], D(2026, 12, 31), AgreementState(State.CURRENT, 2, D(2027, 12, 31))),
        # One day between them is a gap.
        (
            [OLD, Held(2, D(2027, 1, 2), D(2027, 12, 31))],
            D(2026, 12, 30),
            AgreementState(State.EXPIRES_SOON, 1, D(2026, 12, 31)),
        ),
        (
            [OLD, Held(2, D(2027, 1, 2), D(2027, 12, 31))],
            D(2027, 1, 1),
            AgreementState(State.EXPIRED, 1, D(2026, 12, 31), D(2027, 1, 2)),
        ),
        # A newer one takes over even when it ends sooner.
        (
            [OLD, Held(2, D(2026, 3, 1), D(2026, 4, 30))],
            D(2026, 5, 1),
            AgreementState(State.EXPIRED, 2, D(2026, 4, 30)),
        ),
        (
            [OLD, Held(2, D(2026, 1, 1), D(2026, 6, 30))],
            D(2026, 2, 1),
            AgreementState(State.CURRENT, 2, D(2026, 6, 30)),
        ),
    ],
)
def test_what_papers_amount_to_on_a_day(held, on, found):
    """Worked by hand from the rule's own words: no source."""
    assert agreement_state(held, on) == found


def test_a_paper_that_ends_before_it_begins_is_refused():
    with pytest.raises(ValueError, match="before it begins"):
        agreement_state([Held(1, D(2026, 2, 1), D(2026, 1, 1))], D(2026, 1, 1))


def test_rungs_fall_on_their_day_and_are_made_up_for_briefly():
    last = D(2026, 12, 31)
    days = {left: due_step(last, last - timedelta(days=left)) for left in (61, 60, 58, 57, 30, 28, 27, 7, 5, 4, 0)}
    assert days == {61: None, 60: 60, 58: 60, 57: None, 30: 30, 28: 30, 27: None, 7: 7, 5: 7, 4: None, 0: None}


@pytest.mark.parametrize(
    ("raw", "kind"),
    [(PDF, "application/pdf"), (picture("PNG"), "image/png"), (picture("JPEG"), "image/jpeg")],
)
def test_a_paper_is_told_by_its_content(raw, kind):
    assert paper_type(raw, "anything.txt") == kind


@pytest.mark.parametrize(
    ("raw", "name", "code"),
    [
        (b"", "a.pdf", "empty document"),
        (b"MZ\x90\x00 a program", "a.pdf", "not as named"),
        (b"<script>alert(1)</script>", "a.PDF", "not as named"),
        (b"\n\n%PDF-1.7 startxref %%EOF", "a.pdf", "not as named"),
        (b"GIF89a", "a.jpeg", "not as named"),
        (b"%PDF-1.7\nhalf of it", "a.pdf", "incomplete pdf"),
        (picture("PNG")[:-40], "a.png", "damaged picture"),
        (b"\xff\xd8\xff\xe0 rubbish", "a.jpg", "no photo"),
        (b"PK\x03\x04", "a.docx", "no document"),
        (PDF + b"x" * MOST_PAPER_BYTES, "a.pdf", "large document"),
    ],
)
def test_what_only_pretends_is_refused_and_each_code_has_words(raw, name, code):
    with pytest.raises(Refused) as refused:
        paper_type(raw, name)

    assert refused.value.codes == {code} and file_words(refused.value)


@pytest.mark.parametrize(
    ("sent", "kept"),
    [
        ("Insurance 2026.pdf", "Insurance 2026.pdf"),
        ("../../etc/passwd", "passwd.pdf"),
        ("C:\\papers\\lease.exe", "lease.pdf"),
        ('a"b;\r\nSet-Cookie: x=1.pdf', "a-b-Set-Cookie-x-1.pdf"),
        ("..", "paper.pdf"),
        ("\u202egpj.exe", "gpj.pdf"),
        ("Vereinbarung Überlassung.pdf", "Vereinbarung Überlassung.pdf"),
        ("x" * 300 + ".pdf", "x" * 80 + ".pdf"),
    ],
)
def test_a_files_name_is_kept_without_path_or_odd_signs(sent, kept):
    assert paper_name(sent, "application/pdf") == kept


@pytest.fixture
def page(make_center):
    center = make_center("Saint Orla's Hall", asks_insurance=True, asks_agreement=True)
    return center, reverse("center-agreements", args=[center.pk])


def typed(**more):
    today = clock.today()
    facts = {
        "kind": "insurance",
        "from_day": today - timedelta(days=30),
        "until_day": today + timedelta(days=300),
        "reference": "LM-77",
    }
    return facts | more


def paper(raw=PDF, name="insurance.pdf", kind="application/pdf"):
    return SimpleUploadedFile(name, raw, kind)


def test_a_paper_is_recorded_read_and_saved_as_a_file(page, coordinator, signed_in):
    center, address = page
    client = signed_in(coordinator)
    assert "none on file" in client.get(reverse("center", args=[center.pk])).content.decode()
    client.post(address, typed(file=paper()))
    row = Agreement.objects.get()
    assert (row.recorded_by, row.file_name, row.reference) == (coordinator, "insurance.pdf", "LM-77")

    answer = client.get(reverse("agreement-file", args=[row.pk]))

    assert answer.content == PDF and answer.headers["Content-Type"] == "application/pdf"
    assert answer.headers["Content-Disposition"] == 'attachment; filename="insurance.pdf"'
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Content-Security-Policy"] == "sandbox; default-src 'none'"
    assert answer.headers["Cache-Control"] == "no-store"
    assert "current" in client.get(reverse("center", args=[center.pk])).content.decode()


def test_a_newer_one_takes_over_and_the_older_stays_readable(page, coordinator, signed_in):
    _, address = page
    client = signed_in(coordinator)
    client.post(address, typed(file=paper(name="old.pdf")))
    client.post(address, typed(from_day=clock.today(), file=paper(name="new.pdf")))
    new, old = Agreement.objects.order_by("-pk")

    text = client.get(address).content.decode()

    assert text.count("in effect today") == 1 and text.index("new.pdf") < text.index("old.pdf")
    assert client.get(reverse("agreement-file", args=[old.pk])).status_code == 200
    client.post(reverse("agreement-take-back", args=[new.pk]))
    new.refresh_from_db()
    assert new.taken_back_by == coordinator
    assert "removed" in client.get(address).content.decode()


def test_pressing_record_twice_records_once(page, coordinator, signed_in):
    client = signed_in(coordinator)
    for _ in range(2):
        client.post(page[1], typed(file=paper()))

    assert Agreement.objects.count() == 1


def test_a_better_scan_under_the_same_name_is_kept_and_not_taken_for_the_first(page, coordinator, signed_in):
    client = signed_in(coordinator)
    better = PDF + b"% a page more\n"
    for raw in (PDF, better, better):
        client.post(page[1], typed(file=paper(raw)))

    first, second = Agreement.objects.defer(None).order_by("pk")
    assert bytes(first.file or b"") == PDF and bytes(second.file or b"") == better


def test_one_without_a_file_is_recorded_and_hands_out_none(page, coordinator, signed_in):
    client = signed_in(coordinator)
    client.post(page[1], typed())

    assert "No file attached" in client.get(page[1]).content.decode()
    assert client.get(reverse("agreement-file", args=[Agreement.objects.get().pk])).status_code == 404


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"file": lambda: paper(b"MZ\x90 a program")}, "name says PDF, but it isn’t one"),
        ({"file": lambda: paper(b"")}, "This file is empty"),
        ({"file": lambda: paper(PDF + b"x" * MOST_PAPER_BYTES)}, "over 5 MB"),
        ({"until_day": "2020-01-01", "from_day": "2021-01-01"}, "The last day is before the first day"),
        ({"until_day": "0999-01-01"}, "Enter a year from 1990"),
        ({"until_day": "soon"}, "year-month-day"),
        ({"kind": "nonsense"}, "Select a valid choice"),
    ],
)
def test_what_cannot_be_recorded_is_said_and_what_was_typed_stays(page, coordinator, signed_in, more, sentence):
    more = {name: value() if callable(value) else value for name, value in more.items()}

    answer = signed_in(coordinator).post(page[1], typed(**more))

    assert answer.status_code == 422 and sentence in answer.content.decode()
    assert 'value="LM-77"' in answer.content.decode() and not Agreement.objects.exists()


def test_a_list_of_papers_never_fetches_them(page, coordinator, signed_in):
    signed_in(coordinator).post(page[1], typed(file=paper()))

    assert "file" in Agreement.objects.get().get_deferred_fields()


def test_what_a_center_is_not_asked_for_is_no_gap(page, coordinator, signed_in):
    center, _ = page
    center.asks_insurance = center.asks_agreement = False
    center.save()

    assert "not required here" in signed_in(coordinator).get(reverse("center", args=[center.pk])).content.decode()


def test_only_who_keeps_centers_reads_papers(page, coordinator, floor_lead, stranger, signed_in):
    signed_in(coordinator).post(page[1], typed(file=paper()))
    pk = Agreement.objects.get().pk
    client = signed_in(floor_lead)
    for answer in (client.get(page[1]), client.get(reverse("agreement-file", args=[pk]))):
        assert answer.status_code == 403
    assert client.post(reverse("agreement-take-back", args=[pk])).status_code == 403
    assert stranger.get(reverse("agreement-file", args=[pk])).status_code == 302
    assert stranger.get(page[1]).status_code == 302
