"""What matching is told equals what every other page says: standing, time, distance and what was asked before."""

from datetime import date, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from core import clock
from people.models import Clearance, DutyBook, PolicyRow
from people.queries.standing import StandingBook
from people.rules.evidence import Clearance as Record
from people.rules.evidence import PolicyRow as Row
from people.rules.policy import DatedRow
from shifts.models import AskingRules, Away, KeptApart, Limits, Reply
from shifts.queries.candidates import candidates
from shifts.queries.facts import clinics_between, gather, requirements
from shifts.rules.matching import blocks
from shifts.words.eligibility import words

START = date(2027, 1, 1)
STATES = ["clear", "refused", "withdrawn", "awaiting"]
DAYS = st.integers(0, 120).map(lambda n: START + timedelta(days=n))


@given(
    records=st.lists(
        st.builds(Record, st.just("c"), st.sampled_from(STATES), DAYS),
        max_size=4,
    ),
    rows=st.lists(
        st.builds(
            DatedRow,
            st.builds(Row, st.just("coach"), st.just("c"), st.sampled_from([None, 1, 2, 3])),
            st.sampled_from(["", "school"]),
            DAYS,
            st.booleans(),
        ),
        max_size=4,
    ),
    place=st.sampled_from(["", "school"]),
    day=DAYS,
)
@settings(max_examples=300, deadline=None)
def test_current_days_are_the_standing_rules_days(records, rows, place, day):
    book = StandingBook({1: records}, rows, {"c": "conduct training"})

    needs = requirements(book, 1, "coach", place, START, START + timedelta(days=120))

    ok = all(need.current(day) for need in needs if need.holds(day))
    assert ok == book.on(1, "coach", day, place).ok


def facts_for(clinic):
    return gather(clinics_between(clinic.day, clinic.day, clock.now()), clock.now())


def test_whoever_could_come_on_the_clinics_page_could_come_in_matching(make_shift, make_clinic, make_volunteer):
    clinic = make_clinic(days=12)
    shift = make_shift(clinic)
    people = {
        name: make_volunteer(name, latitude=41.5, longitude=-77.5)
        for name in ("Free", "Away", "Full", "Expired", "Withdrawn")
    }
    Away.objects.create(volunteer=people["Away"], first_day=clinic.day, last_day=clinic.day)
    Limits.objects.create(volunteer=people["Full"], shifts_a_month=0)
    Clearance.objects.filter(volunteer=people["Expired"], kind__code="conduct").update(
        expires_on=clinic.day - timedelta(days=1)
    )
    Clearance.objects.create(
        volunteer=people["Withdrawn"], kind_id=Clearance.objects.all()[0].kind_id, state="withdrawn",
        issued_on=clock.today(),
    )  # fmt: skip
    make_volunteer("Other duty", duties=("door",))

    facts = facts_for(clinic)

    (position,) = facts.positions
    could = {person.name for person in facts.people if not blocks(person, position, facts.options)}
    assert could == {c.volunteer.name for c in candidates(shift, clock.today()) if c.can} == {"Free"}
    expired = next(p for p in facts.people if p.name == "Expired")
    assert [words(b.reason) for b in blocks(expired, position, facts.options)] == [
        "conduct training expires the day before this clinic"
    ]


def test_a_policy_to_come_is_asked_from_its_day(make_shift, make_clinic, make_volunteer, policy):
    early, late = make_clinic(days=5), make_clinic(days=15)
    make_shift(early), make_shift(late)
    make_volunteer()
    PolicyRow.objects.create(
        duty_id="coach", kind=policy["first_aid"], months=24, from_day=clock.today() + timedelta(days=10)
    )

    facts = gather(clinics_between(early.day, late.day, clock.now()), clock.now())

    (person,) = facts.people
    told = {p.clinic: [b.reason.code for b in blocks(person, p, facts.options)] for p in facts.positions}
    assert told == {early.pk: [], late.pk: ["standing"]}


def test_what_was_asked_accepted_declined_and_promised_elsewhere_is_known(
    make_assignment, make_shift, make_clinic, make_volunteer
):
    clinic = make_clinic(days=12)
    imara, tobiah = make_volunteer("Imara"), make_volunteer("Tobiah")
    accepted = make_assignment(make_shift(clinic), imara)
    asked = make_assignment(make_shift(clinic), tobiah, reply=Reply.NEEDS_ACTION)
    said_no = make_volunteer("Said no")
    make_assignment(make_shift(clinic), said_no, reply=Reply.DECLINED)
    elsewhere = make_volunteer("Elsewhere")
    make_assignment(make_shift(make_clinic(days=12)), elsewhere, reply=Reply.NEEDS_ACTION)
    KeptApart.objects.create(one=imara, other=tobiah)
    AskingRules.objects.create(pk=1, most_open=1)

    facts = gather([clinic_with_bands(clinic)], clock.now())

    by_id = {p.id: p for p in facts.positions}
    assert by_id[accepted.shift_id].accepted == imara.pk and by_id[asked.shift_id].asked == tobiah.pk
    people = {p.name: p for p in facts.people}
    assert people["Said no"].declined == {clinic.pk} and people["Imara"].apart == {tobiah.pk}
    assert len(people["Elsewhere"].stays) == 1 and people["Elsewhere"].may_ask == 0
    assert people["Elsewhere"].used[clinic.day.year, clinic.day.month][0] == 1


def clinic_with_bands(clinic):
    (found,) = [c for c in clinics_between(clinic.day, clinic.day, clock.now()) if c.pk == clinic.pk]
    return found


def test_it_costs_the_same_queries_however_many(
    make_assignment, make_clinic, make_shift, django_assert_max_num_queries, django_assert_num_queries
):
    make_assignment()
    today = clock.today()
    with django_assert_max_num_queries(25) as few:
        gather(clinics_between(today, today + timedelta(days=30), clock.now()), clock.now())
    for number in range(6):
        make_assignment(make_shift(make_clinic(days=3 + number)))
    DutyBook.forget()
    with django_assert_num_queries(len(few)):
        gather(clinics_between(today, today + timedelta(days=30), clock.now()), clock.now())
