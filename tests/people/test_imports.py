"""Files in and out: checked first, imported whole or not at all, undone with one click, and no formula goes out."""

import csv
import io
import time
from datetime import date, datetime

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from core import clock
from core.refusal import Refusal
from people.models import Clearance, Import, User, Volunteer, duties
from people.rules.volunteer_rows import BadRow, read_clearances, read_volunteers
from people.services import imports
from people.services.imports import read_table, start_taking, take_in_pieces, undo
from people.words.tables import row_problem

HEAD = "name,email,phone,duties,adult,home_area,latitude,longitude\n"
GOOD = 'Imara Venn,imara@example.org,555-0121,"coach,first aider",yes,Mill Green,41.52,-77.6\n'


def read(text: str | bytes, by: User, what: str = "volunteers") -> Import:
    raw = text if isinstance(text, bytes) else text.encode()
    return read_table(what=what, name="people.csv", raw=raw, by=by, now=clock.now(), today=clock.today())


def codes_of(bad: BadRow) -> list[str]:
    return [one if isinstance(one, str) else one.code for one in bad.reasons]


def take(table: Import, by: User, now: datetime) -> Import:
    start_taking(table=table, by=by)
    return take_in_pieces(table=table, now=now)


def test_nothing_is_saved_until_it_is_taken_and_one_press_undoes_it(admin):
    table = read(HEAD + GOOD, admin)
    assert not Volunteer.objects.exists()

    take(table=table, by=admin, now=clock.now())
    take(table=table, by=admin, now=clock.now())
    person = Volunteer.objects.get()
    assert (person.name, person.duties, person.latitude) == ("Imara Venn", ["coach", "first_aider"], 41.52)

    assert undo(table=table) == 1 and undo(table=table) == 0
    assert not Volunteer.objects.exists()


@pytest.mark.parametrize(
    ("row", "code"),
    [
        (",a@example.org,,coach,,,,", "no name"),
        ("A,no address,,coach,,,,", "no email"),
        ("A,a@example.org,,juggler,,,,", "unknown duties"),
        ("A,a@example.org,,,,,,", "no duties"),
        ("A,a@example.org,,coach,perhaps,,,", "yes or no"),
        ("A,a@example.org,,coach,no,,,", "under 18"),
        ("A,a@example.org,,coach,,,north,1", "no point"),
        ("A,a@example.org,,coach,,,91,1", "point out of range"),
        ("A,IMARA@example.org,,coach,,,,", "email twice"),
        ("A,here@example.org,,coach,,,,", "on file"),
        (f"{'x' * 500},a@example.org,,coach,,,,", "too long"),
        ("A\0,a@example.org,,coach,,,,", "bad character"),
    ],
)
def test_a_bad_row_is_told_with_its_line_and_reason_and_the_others_are_kept(admin, make_volunteer, row, code):
    make_volunteer("Here", email="here@example.org")
    text = HEAD + GOOD + row + "\n"
    table = read(text, admin)

    found = read_volunteers(csv.DictReader(io.StringIO(text)), duties().codes, {"here@example.org"})

    assert len(table.rows) == len(found.good) == 1
    (bad,) = found.bad
    assert bad.line == 3 and [getattr(one, "code", one) for one in bad.reasons] == [code]
    assert table.bad == [{"line": 3, "reasons": [row_problem(one) for one in bad.reasons]}]


def test_three_broken_rows_among_five_thousand(admin):
    lines = [f"Person {n},person{n}@example.org,,coach,,,,\n" for n in range(5000)]
    for place in (10, 2500, 4999):
        lines[place] = f"Person {place},broken,,coach,,,,\n"

    table = read(HEAD + "".join(lines), admin)

    assert [row["line"] for row in table.bad] == [12, 2502, 5001] and len(table.rows) == 4997


def test_somebody_added_meanwhile_means_nothing_is_half_saved(admin, make_volunteer):
    table = read(HEAD + GOOD + "B,b@example.org,,coach,,,,\n", admin)
    make_volunteer("Came First", email="b@example.org")

    row = take(table=table, by=admin, now=clock.now())

    assert row.state == Import.State.READ and "nothing was imported" in row.trouble
    assert Volunteer.objects.count() == 1


@pytest.mark.parametrize(
    ("raw", "sentence"),
    [
        ((HEAD + GOOD).replace("Imara", "Ímara").encode("latin-1"), "isn’t in UTF-8"),
        (b"", "must have the column names"),
        (b"one,two\n1,2\n", "must have the column names"),
        (HEAD.encode(), "column names but no rows"),
        (b'name,email\n"never closed', "near line"),
        (b"x" * (imports.MOST_BYTES + 1), "over 10 MB"),
        (b"x" * 50_000_000, "over 10 MB"),
        (b"\x89PNG\r\n\x1a\n\x00\x00", "isn’t in UTF-8"),
    ],
)
def test_a_file_that_is_no_such_table_is_refused_in_words(admin, signed_in, raw, sentence):
    file = SimpleUploadedFile("people.csv", raw or b"\n")

    answer = signed_in(admin).post(reverse("import-new"), {"what": "volunteers", "file": file})

    assert answer.status_code == 422 and sentence in answer.content.decode()
    assert not Import.objects.exists()


def test_clearances_find_their_people_and_kinds(admin, make_volunteer, policy):
    make_volunteer("Imara Venn", email="imara@example.org", cleared=())
    text = "email,kind,state,issued_on,expires_on,reference,issuer\n"
    text += "Imara@example.org,conduct training,,2026-01-05,,CO-1,Registry\n"
    text += "nobody@example.org,screening,clear,2026-01-05,,,\n"
    text += "imara@example.org,screening,refused,2026-01-05,,,\n"
    text += "imara@example.org,screening,clear,2099-01-05,,,\n"
    text += "imara@example.org,screening,clear,2026-01-05,2025-01-05,,\n"

    table = read(text, admin, "clearances")
    take(table=table, by=admin, now=clock.now())

    row = Clearance.objects.get()
    assert row.kind == policy["conduct"] and row.reference == "CO-1" and row.recorded_by == admin
    assert [bad["line"] for bad in table.bad] == [3, 4, 5, 6] and all(bad["reasons"] for bad in table.bad)


@pytest.mark.parametrize(
    ("row", "codes"),
    [
        ("nobody@example.org,screening,clear,2026-01-05,,,", ["no volunteer"]),
        ("imara@example.org,juggling,clear,2026-01-05,,,", ["no clearance"]),
        ("imara@example.org,screening,refused,2026-01-05,,,", ["by hand"]),
        ("imara@example.org,screening,clear,,,,", ["not issued"]),
        ("imara@example.org,screening,clear,2099-01-05,,,", ["in the future"]),
        ("imara@example.org,screening,clear,2026-01-05,2025-01-05,,", ["expiry before issue"]),
        ("imara@example.org,screening,clear,5 January,,,", ["no date"]),
        ("imara@example.org,screening,clear,1926-01-05,,,", ["odd year"]),
        ("imara@example.org,screening,clear,2026-01-04,,,", ["row twice"]),
    ],
)
def test_a_bad_clearance_is_told_by_its_codes_and_each_has_words(row, codes):
    text = "email,kind,state,issued_on,expires_on,reference,issuer\nimara@example.org,screening,,2026-01-04,,,\n"

    found = read_clearances(
        csv.DictReader(io.StringIO(text + row + "\n")), {"imara@example.org": 1}, {"screening": 1}, date(2026, 11, 28)
    )

    assert len(found.good) == 1
    assert [[getattr(one, "code", one) for one in bad.reasons] for bad in found.bad] == [codes]
    assert all(row_problem(one) for bad in found.bad for one in bad.reasons)


def test_what_goes_out_comes_in_again_and_runs_no_formula(admin, signed_in, make_volunteer):
    make_volunteer("=HYPERLINK(1)", email="odd@example.org", home_area="@SUM(1)")
    out = signed_in(admin).get(reverse("export", args=["volunteers"])).content
    assert b"'=HYPERLINK" in out and b"'@SUM" in out
    Clearance.objects.all().delete()
    Volunteer.objects.all().delete()

    take(table=read(out, admin), by=admin, now=clock.now())

    assert Volunteer.objects.get().name == "=HYPERLINK(1)"


def test_the_pages_lead_from_a_file_to_volunteers_and_back(admin, signed_in):
    client = signed_in(admin)
    file = SimpleUploadedFile("people.csv", (HEAD + GOOD + "A,broken,,coach,,,,\n").encode())

    page = client.post(reverse("import-new"), {"what": "volunteers", "file": file}, follow=True).content.decode()
    assert "1 volunteer can be imported." in page and "1 row can’t." in page and "Line 3" in page
    table = Import.objects.get()
    client.post(reverse("import-act", args=[table.pk]), {"act": "take"})
    assert "0 of 1 volunteer imported so far" in client.get(reverse("import", args=[table.pk])).content.decode()
    take_in_pieces(table=table, now=clock.now())
    assert Volunteer.objects.count() == 1
    assert "1 volunteer imported." in client.get(reverse("import", args=[table.pk])).content.decode()
    client.post(reverse("import-act", args=[table.pk]), {"act": "undo"})
    assert Volunteer.objects.count() == 0


def test_only_an_admin_imports(coordinator, floor_lead, stranger, signed_in):
    for account in (coordinator, floor_lead):
        assert signed_in(account).get(reverse("import-new")).status_code == 403
    assert stranger.get(reverse("export", args=["volunteers"])).status_code == 302
    assert signed_in(coordinator).get(reverse("export", args=["secrets"])).status_code == 404


@pytest.mark.thorough
def test_twenty_thousand_rows_are_read_and_taken(admin):
    out = io.StringIO()
    out.write(HEAD)
    out.writelines(f"Person {n},person{n}@example.org,555-0101,coach,yes,Larkmoor,41.5,-77.5\n" for n in range(20_000))
    began = time.monotonic()

    take(table=read(out.getvalue(), admin), by=admin, now=clock.now())

    print(f"20,000 rows in {time.monotonic() - began:.1f} s")
    assert Volunteer.objects.count() == 20_000


def test_an_undone_table_is_not_taken_again(admin):
    table = read(HEAD + GOOD, admin)
    take(table=table, by=admin, now=clock.now())
    undo(table=table)

    with pytest.raises(Refusal) as refused:
        start_taking(table=table, by=admin)

    assert refused.value.codes == {"undone"}
