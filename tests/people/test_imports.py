"""Tables in and out: read first, taken whole or not at all, undone in one press, and no formula goes out."""

import io
import time
from datetime import datetime

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from core import clock
from core.refusal import Refusal
from people.models import Clearance, Import, User, Volunteer
from people.services import imports
from people.services.imports import read_table, start_taking, take_in_pieces, undo

HEAD = "name,email,phone,duties,adult,home_area,latitude,longitude\n"
GOOD = 'Imara Venn,imara@example.org,555-0121,"coach,first aider",yes,Mill Green,41.52,-77.6\n'


def read(text: str | bytes, by: User, what: str = "volunteers") -> Import:
    raw = text if isinstance(text, bytes) else text.encode()
    return read_table(what=what, name="people.csv", raw=raw, by=by, now=clock.now(), today=clock.today())


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
    ("row", "reason"),
    [
        (",a@example.org,,coach,,,,", "the name is empty"),
        ("A,no address,,coach,,,,", "is not a mail address"),
        ("A,a@example.org,,juggler,,,,", "is no duty"),
        ("A,a@example.org,,,,,,", "no duty is given"),
        ("A,a@example.org,,coach,perhaps,,,", "write yes or no"),
        ("A,a@example.org,,coach,no,,,", "can only be a helper"),
        ("A,a@example.org,,coach,,,north,1", "as numbers"),
        ("A,a@example.org,,coach,,,91,1", "off the globe"),
        ("A,IMARA@example.org,,coach,,,,", "stands on line 2 too"),
        (f"{'x' * 500},a@example.org,,coach,,,,", "longer than 120"),
    ],
)
def test_a_bad_row_is_told_with_its_line_and_reason_and_the_others_are_kept(admin, row, reason):
    table = read(HEAD + GOOD + row + "\n", admin)

    assert len(table.rows) == 1
    assert table.bad[0]["line"] == 3 and reason in " ".join(table.bad[0]["reasons"])


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

    assert row.state == Import.State.READ and "nothing was taken" in row.trouble
    assert Volunteer.objects.count() == 1


@pytest.mark.parametrize(
    ("raw", "sentence"),
    [
        ((HEAD + GOOD).replace("Imara", "Ímara").encode("latin-1"), "not UTF-8"),
        (b"", "must name the columns"),
        (b"one,two\n1,2\n", "must name the columns"),
        (HEAD.encode(), "no row under the first line"),
        (b'name,email\n"never closed', "near line"),
        (b"x" * (imports.MOST_BYTES + 1), "larger than 10 MB"),
        (b"x" * 50_000_000, "larger than 10 MB"),
        (b"\x89PNG\r\n\x1a\n\x00\x00", "not UTF-8"),
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
    reasons = [" ".join(bad["reasons"]) for bad in table.bad]
    assert "nobody here has" in reasons[0] and "record others by hand" in reasons[1]
    assert "has not come yet" in reasons[2] and "before the day of issue" in reasons[3]


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
    assert "1 volunteers can be taken, 1 row can’t" in page and "Line 3" in page
    table = Import.objects.get()
    client.post(reverse("import-act", args=[table.pk]), {"act": "take"})
    assert "0 of 1 volunteers so far" in client.get(reverse("import", args=[table.pk])).content.decode()
    take_in_pieces(table=table, now=clock.now())
    assert Volunteer.objects.count() == 1
    assert "1 volunteers are taken" in client.get(reverse("import", args=[table.pk])).content.decode()
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

    with pytest.raises(Refusal, match="Read the file again"):
        start_taking(table=table, by=admin)
