"""Whether this process can do its work: the database and the broker answer."""

import redis
from django.conf import settings
from django.db import DatabaseError, connection
from django.http import HttpRequest, JsonResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe


@require_safe
@never_cache
def health(_request: HttpRequest) -> JsonResponse:
    """200 when both servers answer, else 503; says which does not, and nothing more."""
    states = {"database": _database_answers(), "broker": _broker_answers()}
    told = {name: "ok" if answers else "down" for name, answers in states.items()}
    return JsonResponse(told, status=200 if all(states.values()) else 503)


def _database_answers() -> bool:
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except DatabaseError:
        return False
    return True


def _broker_answers() -> bool:
    try:
        with redis.Redis.from_url(settings.REDIS_URL, socket_timeout=2) as broker:
            return bool(broker.ping())
    except redis.RedisError:
        return False
