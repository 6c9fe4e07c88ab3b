"""Spots given, ended and passed on, each service by itself."""

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from django.db import transaction

from clinics.models import AgeBand, Clinic, Status
from core.refusal import Refusal
from families.models import Child, Spot, SpotState
from families.queries.spots import bands_of
from families.rules.spots import NoBand, age_at
from families.services.spot_books import (
    age_words,
    fill_free_spots,
    give_up_spot,
    say_yes,
    take_spot,
    unanswered_spots,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def come(now):
    """A spot for one more child of an age, asked for so many minutes from now."""
    count = 0

    def inner(clinic: Clinic, age: int = 8, at: int = 0, **more: bool) -> Spot:
        nonlocal count
        count += 1
        child = Child.objects.create(
            name=f"Child {count}", birth_date=date(clinic.day.year - age, 1, 1), registered_at=now
        )
        return take_spot(clinic=clinic, child=child, guardian=None, now=now + timedelta(minutes=at), **more)

    return inner


def codes(call: Callable[[], object]) -> set[str]:
    with pytest.raises(Refusal) as refused:
        call()
    return refused.value.codes


def test_a_spot_ended_twice_ends_once_and_frees_one(make_clinic, come, now):
    clinic = make_clinic(children=1)
    first, second, third = come(clinic), come(clinic, at=1), come(clinic, at=2)

    assert [row.pk for row in give_up_spot(spot=first, because="ill", now=now)] == [second.pk]
    first.refresh_from_db()
    ended = (first.state, first.given_up_at, first.because, first.link_counter)
    assert ended == (SpotState.GIVEN_UP, now, "ill", 1)
    AgeBand.objects.filter(clinic=clinic).update(children=2)
    assert give_up_spot(spot=first, because="again", now=now + timedelta(hours=1)) == []

    first.refresh_from_db()
    third.refresh_from_db()
    assert (first.state, first.given_up_at, first.because, first.link_counter) == ended
    assert third.state == SpotState.WAITING


def test_a_spot_is_never_ended_before_it_was_asked_for(make_clinic, come, now):
    spot = come(make_clinic(), at=5)
    give_up_spot(spot=spot, because="ill", now=now)

    spot.refresh_from_db()
    assert spot.given_up_at == spot.asked_at


def test_what_comes_free_is_offered_first_come_first_with_a_time_and_a_new_link(make_clinic, come, now, settings):
    clinic = make_clinic(children=2)
    held = [come(clinic), come(clinic)]
    waits = [come(clinic, at=minute) for minute in (3, 1, 2)]
    with transaction.atomic():
        Spot.objects.filter(pk__in=[one.pk for one in held]).update(state=SpotState.GIVEN_UP)

    offered = fill_free_spots(clinic=clinic, now=now)

    assert [row.pk for row in offered] == [waits[1].pk, waits[2].pk]
    for row in Spot.objects.filter(pk__in=[row.pk for row in offered]):
        assert (row.state, row.link_counter) == (SpotState.HELD, 1)
        assert row.answer_by == now + timedelta(hours=settings.SPOT_HOURS)
    assert fill_free_spots(clinic=clinic, now=now) == []


def test_nothing_is_offered_once_the_clinic_has_begun_or_is_cancelled(make_clinic, come, now):
    clinic = make_clinic(children=1)
    come(clinic)
    come(clinic, at=1)
    AgeBand.objects.filter(clinic=clinic).update(children=2)

    assert fill_free_spots(clinic=clinic, now=clinic.starts_at) == []
    Clinic.objects.filter(pk=clinic.pk).update(status=Status.CANCELLED)
    assert fill_free_spots(clinic=clinic, now=now) == []
    Clinic.objects.filter(pk=clinic.pk).update(status=Status.CONFIRMED)
    assert len(fill_free_spots(clinic=clinic, now=clinic.starts_at - timedelta(seconds=1))) == 1


def test_each_band_has_its_own_spots_and_its_own_row_of_who_waits(make_clinic, come, now):
    clinic = make_clinic(children=1, ages=(7, 9))
    AgeBand.objects.create(clinic=clinic, youngest=12, oldest=14, children=1)
    first = [come(clinic, age) for age in (7, 12)]
    waits = [come(clinic, age, at=1) for age in (9, 14, 7, 12)]

    assert [row.state for row in first] == [SpotState.HELD] * 2
    assert [row.state for row in waits] == [SpotState.WAITING] * 4
    assert [row.pk for row in give_up_spot(spot=first[1], because="ill", now=now)] == [waits[1].pk]
    assert [row.pk for row in give_up_spot(spot=first[0], because="ill", now=now)] == [waits[0].pk]


@pytest.mark.parametrize(("age", "code"), [(6, "too young"), (10, "between"), (11, "between"), (15, "too old")])
def test_a_child_of_no_band_is_refused_by_age(make_clinic, come, age, code):
    clinic = make_clinic(ages=(7, 9))
    AgeBand.objects.create(clinic=clinic, youngest=12, oldest=14, children=1)

    assert codes(lambda: come(clinic, age)) == {code}
    assert not Spot.objects.exists()


def test_a_clinic_without_bands_takes_nobody(make_clinic, come):
    clinic = make_clinic()
    AgeBand.objects.all().delete()

    assert codes(lambda: come(clinic)) == {"not open"}


def test_who_waits_comes_before_a_child_who_asks_when_a_spot_is_free(make_clinic, come):
    clinic = make_clinic(children=1)
    come(clinic)
    waits = come(clinic, at=1)
    AgeBand.objects.filter(clinic=clinic).update(children=3)

    assert waits.state == SpotState.WAITING and come(clinic, at=2).state == SpotState.WAITING


def test_asking_again_gives_the_same_spot_and_a_pared_child_is_kept_anew(make_clinic, come, now):
    clinic = make_clinic()
    spot = come(clinic)
    Child.objects.update(redacted_at=now)

    again = take_spot(clinic=clinic, child=spot.child, guardian=None, now=now)
    assert again == spot and Child.objects.get().redacted_at is not None
    give_up_spot(spot=spot, because="ill", now=now)
    new = take_spot(clinic=clinic, child=spot.child, guardian=None, now=now)
    assert new != spot and Child.objects.get().redacted_at is None


def test_when_families_and_when_the_office_may_give_a_spot(make_clinic, come, now):
    clinic = make_clinic()
    to_start = (clinic.starts_at - now) // timedelta(minutes=1) + 1
    to_end = (clinic.ends_at - now) // timedelta(minutes=1) + 1

    assert codes(lambda: come(clinic, at=to_start)) == {"too late"}
    assert come(clinic, at=to_start, by_office=True).state == SpotState.HELD
    assert codes(lambda: come(clinic, at=to_end, by_office=True)) == {"too late"}
    for change in ({"takes_families": False}, {"status": Status.TENTATIVE, "takes_families": True}):
        Clinic.objects.filter(pk=clinic.pk).update(**change)
        assert codes(lambda: come(clinic)) == {"not open"}
        assert come(clinic, by_office=True).state == SpotState.HELD
    Clinic.objects.filter(pk=clinic.pk).update(status=Status.CANCELLED)
    assert codes(lambda: come(clinic, by_office=True)) == {"not open"}


def test_the_moment_of_the_start_and_of_the_end_is_too_late(make_clinic, now):
    clinic = make_clinic()
    child = Child.objects.create(name="Wren", birth_date=date(clinic.day.year - 8, 1, 1), registered_at=now)

    def ask(moment, by_office):
        return take_spot(clinic=clinic, child=child, guardian=None, now=moment, by_office=by_office)

    assert codes(lambda: ask(clinic.starts_at, False)) == {"too late"}
    assert codes(lambda: ask(clinic.ends_at, True)) == {"too late"}
    assert ask(clinic.starts_at, True).state == SpotState.HELD


def test_a_yes_keeps_the_spot_while_it_is_held_and_not_once_it_has_gone_or_the_clinic_is_off(make_clinic, come, now):
    clinic = make_clinic(children=1)
    first, second = come(clinic), come(clinic, at=1)
    assert codes(lambda: say_yes(spot=second)) == {"gone"}
    give_up_spot(spot=first, because="ill", now=now)

    assert [say_yes(spot=second).answer_by, say_yes(spot=second).answer_by] == [None, None]
    second.refresh_from_db()
    assert (second.state, second.answer_by) == (SpotState.HELD, None)
    assert codes(lambda: say_yes(spot=first)) == {"gone"}
    Clinic.objects.filter(pk=clinic.pk).update(status=Status.CANCELLED)
    assert codes(lambda: say_yes(spot=second)) == {"cancelled"}


def test_unanswered_are_offers_whose_time_is_over_while_the_clinic_is_to_come(make_clinic, come, now):
    clinic = make_clinic(children=1)
    first, second = come(clinic), come(clinic, at=1)
    give_up_spot(spot=first, because="ill", now=now)
    second.refresh_from_db()
    over = second.answer_by

    assert unanswered_spots(over - timedelta(seconds=1)) == []
    assert unanswered_spots(over) == [second]
    assert unanswered_spots(clinic.starts_at) == []
    Clinic.objects.filter(pk=clinic.pk).update(status=Status.CANCELLED)
    assert unanswered_spots(over) == []


def test_bands_come_youngest_first(make_clinic):
    clinic = make_clinic(ages=(12, 14), children=3)
    AgeBand.objects.create(clinic=clinic, youngest=7, oldest=9, children=5)

    assert [(band.youngest, band.oldest, band.spots) for band in bands_of(clinic)] == [(7, 9, 5), (12, 14, 3)]


def test_the_age_is_that_of_the_day_and_who_is_not_born_by_then_is_too_young_for_any_band():
    day = date(2026, 11, 28)

    assert [age_at(born, day) for born in (date(2018, 11, 28), date(2018, 11, 29), day)] == [8, 7, 0]
    assert age_at(day + timedelta(days=1), day) == -1


def test_each_reason_of_age_has_its_sentence():
    assert "date is in the future" in age_words(NoBand("too young", 7, 14), -1)
    young, between = (age_words(NoBand(code, 7, 14), age) for code, age in (("too young", 0), ("between", 10)))
    assert young == "This clinic is for ages 7 to 14. The child will be 0 that day."
    assert between.startswith("This clinic is for ages 7 to 14, with a gap") and "be 10" in between


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("call", ["take", "give up", "fill", "yes"])
def test_each_change_is_a_transaction_of_its_own(call, make_clinic, come, now):
    """The lock that keeps fifty families from five spots holds only inside one."""
    clinic = make_clinic(children=1)
    spot, waits = come(clinic), come(clinic, at=1)
    if call == "give up":
        assert give_up_spot(spot=spot, because="ill", now=now) == [waits]
    elif call == "fill":
        AgeBand.objects.update(children=2)
        assert fill_free_spots(clinic=clinic, now=now) == [waits]
    elif call == "yes":
        assert say_yes(spot=spot) == spot
