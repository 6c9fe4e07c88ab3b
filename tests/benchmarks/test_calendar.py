"""Bookings a second under fifty clients, the month of 500 centers, the moves of 12 kits; each against a baseline."""

import random
import threading
import time as watch
from collections.abc import Callable
from datetime import UTC, datetime, time, timedelta
from functools import partial
from itertools import count
from typing import Any

import networkx
import pgtrigger
import pytest
from django.db import connection
from django.test import Client, override_settings
from django.urls import reverse

from clinics.models import Center, Clinic, Space, Status
from core import clock
from kits.rules.kit_moves import Demand, Kit, plan_moves
from scheduling.models import SET_UP, TAKE_DOWN, Booking
from scheduling.services.bookings import ClinicFacts, book_clinic
from shifts.models import Shift
from tests.benchmarks.conftest import p95_ms, report

CLIENTS, EACH = 50, 4


def at_once(call: Callable[[int], object]) -> float:
    """Seconds that CLIENTS threads need for EACH calls of their own; what went wrong is raised."""
    barrier = threading.Barrier(CLIENTS + 1)
    wrong: list[Exception] = []

    def run(client: int) -> None:
        try:
            connection.ensure_connection()
            barrier.wait(timeout=30)
            for number in range(EACH):
                call(client * EACH + number)
        except Exception as problem:
            wrong.append(problem)
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(client,)) for client in range(CLIENTS)]
    for thread in threads:
        thread.start()
    barrier.wait(timeout=30)
    began = watch.perf_counter()
    for thread in threads:
        thread.join(timeout=120)
    if wrong:
        raise wrong[0]
    return watch.perf_counter() - began


@pytest.mark.django_db(transaction=True)
def test_bookings_a_second_under_fifty_clients(make_space):
    spaces = [make_space() for _ in range(10)]
    first = clock.today(spaces[0].center.tz) + timedelta(days=10)
    with connection.cursor() as cursor:
        cursor.execute("create extension if not exists btree_gist")
        cursor.execute(
            "create table bench_hold (id bigserial primary key, space_id bigint, period tstzrange, status text default"
            " 'tentative', exclude using gist (space_id with =, period with &&) where (status <> 'cancelled'))"
        )

    def book(number: int) -> None:
        space = spaces[number % len(spaces)]
        facts = ClinicFacts(
            center=space.center, space=space, day=first + timedelta(days=number // len(spaces)), starts=time(10),
            ends=time(12), bands=[(7, 10, 16)],
        )  # fmt: skip
        book_clinic(facts=facts, now=clock.now())

    def insert(number: int) -> None:
        begins = datetime(2027, 1, 1, 10, tzinfo=UTC) + timedelta(days=number // len(spaces))
        with connection.cursor() as cursor:
            cursor.execute(
                "insert into bench_hold (space_id, period) values (%s, tstzrange(%s, %s))",
                [number % len(spaces), begins, begins + timedelta(hours=3)],
            )

    try:
        bare = CLIENTS * EACH / at_once(insert)
        ours = CLIENTS * EACH / at_once(book)
        assert Booking.objects.count() == CLIENTS * EACH
    finally:
        with connection.cursor() as cursor:
            cursor.execute("drop table bench_hold")
    report("bookings_per_second", ours, "bookings/s", ours / bare, f"raw inserts of 50 clients at {bare:.0f}/s")


@pytest.mark.django_db
@override_settings(ROOT_URLCONF="tests.benchmarks.urls")
def test_the_month_of_500_centers(coordinator, signed_in):
    with pgtrigger.ignore():
        centers = Center.objects.bulk_create(
            Center(name=f"Center {n:03}", address="1 Row", contact_name="Maude", contact_email=f"c{n}@example.org")
            for n in range(500)
        )
        spaces = Space.objects.bulk_create(Space(center=one, name="Floor", capacity=60) for one in centers)
        begins = [datetime(2027, 4, 1 + n // 500 * 4, 14, tzinfo=UTC) for n in range(3000)]
        clinics = Clinic.objects.bulk_create(
            Clinic(center=centers[n % 500], starts_at=at, ends_at=at + timedelta(hours=2), status=Status.CONFIRMED)
            for n, at in enumerate(begins)
        )
        Booking.objects.bulk_create(
            Booking(
                clinic=row, space=spaces[n % 500], period=(row.starts_at - SET_UP, row.ends_at + TAKE_DOWN),
                status=Status.CONFIRMED, asked_at=clock.now(),
            )
            for n, row in enumerate(clinics)
        )  # fmt: skip
        Shift.objects.bulk_create(
            Shift(clinic=row, duty_id="coach", position=p) for row in clinics for p in range(1, 7)
        )
    client: Client = signed_in(coordinator)
    baseline = p95_ms(lambda: client.get("/empty/"), 40)
    for view in ("month", "week", "day"):
        address = f"{reverse('clinics')}?view={view}&day=2027-04-01"
        assert client.get(address).status_code == 200
        value = p95_ms(partial(client.get, address), 20)
        report(f"calendar_{view}_p95", value, "ms", value / baseline, "an empty view, p95")


def test_the_moves_of_12_kits_among_200_clinics():
    rng, numbers = random.Random(7), count(1)
    start = datetime(2027, 3, 6, 9, tzinfo=UTC)
    demands = []
    for _ in range(200):
        begins = start + timedelta(days=rng.randrange(60), hours=rng.choice((0, 4, 8)))
        demands.append(Demand(next(numbers), rng.randrange(300), begins, begins + timedelta(hours=2)))
    kits = [Kit(1000 + n, rng.randrange(300)) for n in range(12)]

    def km(here: int, there: int) -> float:
        return abs(here - there) / 4

    began = watch.perf_counter()
    plan = plan_moves(demands, kits, km)
    ours = watch.perf_counter() - began
    began = watch.perf_counter()
    greedy_km, greedy_served = nearest_kit(demands, kits, km)
    took_greedy = watch.perf_counter() - began
    began = watch.perf_counter()
    flow_km, flow_served = network_flow(demands, kits, km)
    took = watch.perf_counter() - began

    assert len(plan.served) == flow_served >= greedy_served and plan.total_km == pytest.approx(flow_km)
    report("kit_moves_200x12", ours, "s", ours / took, f"networkx's network simplex on the same network, {took:.2f} s")
    report("kit_moves_200x12_greedy", ours, "s", ours / took_greedy, f"the nearest kit, {took_greedy * 1000:.1f} ms")
    report("kit_moves_km", plan.total_km, "km", plan.total_km / greedy_km, f"the nearest kit: {greedy_km:.0f} km, "
           f"{greedy_served} served of {len(plan.served)}")  # fmt: skip


def ready(ends: datetime, way: float, begins: datetime) -> bool:
    return ends + timedelta(minutes=30) + timedelta(hours=way / 45) <= begins


def nearest_kit(demands: list[Demand], kits: list[Kit], km: Callable[[int, int], float]) -> tuple[float, int]:
    here: dict[int, tuple[int, datetime | None]] = {kit.id: (kit.place, None) for kit in kits}
    total, served = 0.0, 0
    for one in sorted(demands, key=lambda d: (d.starts, d.id)):
        able = [
            (km(place, one.place), pk)
            for pk, (place, free) in here.items()
            if free is None or ready(free, km(place, one.place), one.starts)
        ]
        if able:
            way, pk = min(able)
            total, served = total + way, served + 1
            here[pk] = (one.place, one.ends)
    return total, served


def network_flow(demands: list[Demand], kits: list[Kit], km: Callable[[int, int], float]) -> tuple[float, int]:
    big = 10**8
    graph: Any = networkx.DiGraph()
    graph.add_node("source", demand=-len(kits))
    graph.add_node("sink", demand=len(kits))
    for kit in kits:
        graph.add_edge("source", ("kit", kit.id), capacity=1, weight=0)
        graph.add_edge(("kit", kit.id), "sink", capacity=1, weight=0)
        for one in demands:
            graph.add_edge(("kit", kit.id), ("in", one.id), capacity=1, weight=round(km(kit.place, one.place) * 1000))
    for one in demands:
        graph.add_edge(("in", one.id), ("out", one.id), capacity=1, weight=-big)
        graph.add_edge(("out", one.id), "sink", capacity=1, weight=0)
        for other in demands:
            way = km(one.place, other.place)
            if one is not other and ready(one.ends, way, other.starts):
                graph.add_edge(("out", one.id), ("in", other.id), capacity=1, weight=round(way * 1000))
    cost, flow = networkx.network_simplex(graph)
    served = sum(flow["in", one.id]["out", one.id] for one in demands)
    return (cost + served * big) / 1000, served
