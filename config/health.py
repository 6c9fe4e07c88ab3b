"""Pages for the proxy: is this process alive, and is everything behind it ready?"""

import logging

import redis
from django.conf import settings
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor
from django.http import HttpRequest, JsonResponse
from django.views.decorators.http import require_safe

from core import clock
from outbox.queries.outbox import oldest_unsent

log = logging.getLogger(__name__)


@require_safe
def alive(_request: HttpRequest) -> JsonResponse:
    return JsonResponse({"alive": True})


@require_safe
def ready(_request: HttpRequest) -> JsonResponse:
    """200 when the database answers and is migrated and the broker answers; else 503. Tells the queue's age."""
    facts: dict[str, object] = {
        "database": False,
        "migrated": False,
        "broker": False,
        "oldest_unsent_seconds": None,
    }
    try:
        executor = MigrationExecutor(connection)
        facts["database"] = True
        facts["migrated"] = not executor.migration_plan(executor.loader.graph.leaf_nodes())
        if facts["migrated"]:
            due_at = oldest_unsent(clock.now())
            facts["oldest_unsent_seconds"] = int((clock.now() - due_at).total_seconds()) if due_at else 0
    except DatabaseError as problem:
        log.error("The database does not answer: %s", problem)
    try:
        with redis.Redis.from_url(settings.REDIS_URL, socket_timeout=2, socket_connect_timeout=2) as broker:
            facts["broker"] = bool(broker.ping())
    except redis.RedisError as problem:
        log.error("The broker does not answer: %s", problem)
    is_ready = bool(facts["database"] and facts["migrated"] and facts["broker"])
    return JsonResponse({"ready": is_ready, **facts}, status=200 if is_ready else 503)
