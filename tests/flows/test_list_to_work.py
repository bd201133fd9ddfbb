"""The whole way through the API alone: a list of 300 lines goes in, people have work at the end."""

import csv
import io
from base64 import b64encode
from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest
import redis
from django.conf import settings
from django.test import Client

from config.celery import app
from inventory.models import Branch, Item, Role, Shipment, User
from loading.planner.checker import check_plan
from loading.planner.plan import parse_plan
from loading.planner.request import parse_request
from tests.conftest import StartWorker

WAIT_S = 400  # the first plan of a version waits for its kernels to be compiled

NAMES = ("carton 1.5", "carton 3.0", "books", "dish pack", "nightstand", "dining chair")
TRUCK = {
    "branch": "ELM",
    "name": "Truck 1",
    "interior_mm": [14500, 2490, 2790],
    "door_mm": [2430, 2700],
    "payload_kg": 18000,
    "ride": "air",
    "supports": [
        {"name": "kingpin", "x_mm": 900, "tare_kg": 2500, "limit_kg": 16000},
        {"name": "tandem", "x_mm": 11900, "tare_kg": 4000, "limit_kg": 16000},
    ],
}

Call = Callable[..., Any]


def inventory_list() -> bytes:
    """300 lines in ten vaults of thirty, names only, one with its place for each vault."""
    out = io.StringIO()
    lines = csv.writer(out)
    lines.writerow(
        ("tag", "name", "vault", "lane", "vault_depth", "vault_level", "lane_depth", "lane_levels")
    )
    for number in range(300):
        vault, within = divmod(number, 30)
        lane, level = divmod(vault, 3)
        place = (f"L{lane}", 1, level + 1, 1, 3) if within == 0 else ("",) * 5
        name = NAMES[number % len(NAMES)]
        lines.writerow((f"{number + 1:03d}", name, f"V-{vault:02d}", *place))
    return out.getvalue().encode()


@pytest.fixture
def call(client: Client, transactional_db: None) -> Call:
    """Requests of a stranger who has an account at the branch, and nothing but the API."""
    branch = Branch.objects.create(code="ELM", name="Elm yard", time_zone="UTC")
    user = User.objects.create_user("mia", password="six-in-the-morning", branch=branch)
    for kind in ("dispatcher", "office"):
        Role.objects.create(user=user, branch=branch, kind=kind)
    helper = User.objects.create_user("noa", branch=branch)
    Role.objects.create(user=helper, branch=branch, kind="helper")
    word = "Basic " + b64encode(b"mia:six-in-the-morning").decode()

    def send(address: str, body: object = None, *, kind: str = "application/json") -> Any:
        headers = {"Authorization": word, "Accept": "application/json"}
        if body is None:
            answer = client.get(f"/api/{address}", headers=headers)
        else:
            answer = client.post(f"/api/{address}", body, content_type=kind, headers=headers)
        assert answer.status_code < 300, answer.content
        return answer.json()

    return send


def wait_behind(queue: str) -> None:
    """Return once the queue's only process has done all that was sent to it before."""
    key = f"behind-{uuid4()}"
    app.send_task("tests.probe.answer", kwargs={"key": key, "word": "done"}, queue=queue)
    with redis.Redis.from_url(settings.REDIS_URL, socket_timeout=None) as broker:
        assert broker.blpop(key, timeout=WAIT_S) == (key.encode(), b"done")


def test_a_list_of_300_lines_becomes_work(call: Call, start_worker: StartWorker) -> None:
    start_worker("plan", include="tests.config.probe")
    start_worker("dispatch", include="tests.config.probe")

    batch = call("imports/?branch=ELM&shipment=S-1&lot=5500", inventory_list(), kind="text/csv")
    assert (batch["lines"], batch["guesses"]) == (300, [])
    release = call(
        "releases/",
        {
            "uuid": str(uuid4()),
            "branch": "ELM",
            "shipment": "S-1",
            "reference": "R-1",
            "receiver_name": "B. Reed",
        },
    )
    truck = call("trucks/", TRUCK)
    dock = call("docks/", {"branch": "ELM", "name": "Door", "vault_spots": 2, "floor_m2": 18.0})
    load = call(
        "loads/",
        {
            "reference": "L-1",
            "release": release["id"],
            "truck": truck["id"],
            "dock": dock["id"],
            "distance_km": 100,
        },
    )
    job = call(
        "jobs/",
        {
            "id": str(uuid4()),
            "load": load["id"],
            "day": "2026-03-04",
            "window_start": "2026-03-04T06:30:00Z",
            "window_end": "2026-03-04T11:00:00Z",
        },
    )
    run = call(f"jobs/{job['id']}/plan/", {"run": str(uuid4()), "budget_s": 3})["run"]
    wait_behind("plan")

    told = call(f"plan-runs/{run}/")
    assert (told["status"], told["problem"]) == ("done", None)
    plan = call(f"plans/{told['plan']}/")
    request, planned = parse_request(plan["request_document"]), parse_plan(plan["document"])
    assert check_plan(request, planned).broken == ()
    assert len(planned.placements) + len(planned.left_off) == 300
    assert {placed.tag for placed in planned.placements} <= set(
        Item.objects.values_list("tags__number", flat=True)
    )

    call(f"jobs/{job['id']}/crew/", {"user": "noa", "part": "helper"})
    assert call(f"jobs/{job['id']}/accept/", {"plan": plan["id"]})["has_tasks"]
    wait_behind("dispatch")

    tasks = call(f"jobs/{job['id']}/tasks/")
    assert sum(task["kind"] == "load" for task in tasks) == len(planned.placements)
    assert [task["given_to"] for task in tasks if task["given_to"]] == [["noa"]]


def test_a_list_with_faults_leaves_nothing(call: Call, client: Client) -> None:
    client.force_login(User.objects.get(username="mia"))
    bad = inventory_list().replace(b"002,carton 3.0", b"001,carton 3.0", 1)

    answer = client.post("/api/imports/?branch=ELM&shipment=S-1", bad, content_type="text/csv")

    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/3/tag"
    assert not Shipment.objects.exists()
