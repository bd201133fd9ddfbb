"""A day of two jobs and six helpers from first pull to last tier, with twenty disturbances.

Phones and dispatcher speak to the API alone. What the workers do between their requests is done
in this process, by the same services, with the planner stopped after so many iterations.
"""

import csv
import io
from base64 import b64encode
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import partial
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.test import Client
from django.utils import timezone

from inventory.models import Branch, Item, Role, User
from jobs.folding.finishing import FINISHED_BY
from jobs.models import Job, Replan
from jobs.selectors.events import job_state_fresh
from jobs.services import replan_execute, tasks_assign
from loading.planner.search import plan_load
from loading.planner.stopping import Iterations
from loading.services import plan_run_execute

PIECES = 18
KINDS = (
    ("chest", 1000, 500, 900, 40),
    ("carton", 600, 450, 450, 14),
    ("box", 500, 400, 400, 10),
)
HELPERS = ("ada", "ben", "cleo", "dov", "eli", "fay")
PARTS = {
    "day-1": {"lou": "loader", "wim": "warehouse", **dict.fromkeys(HELPERS[:3], "helper")},
    "day-2": {"liv": "loader", "wes": "warehouse", **dict.fromkeys(HELPERS[3:], "helper")},
}
SEARCH_ITERATIONS = 40

Report = tuple[str, dict[str, Any]]


def _search(request: Any, **more: Any) -> Any:
    return plan_load(request, **{**more, "stop": Iterations(SEARCH_ITERATIONS), "workers": 1})


@dataclass
class Phones:
    """Requests of people who have an account at the branch, and nothing but the API."""

    client: Client

    def ask(
        self, who: str, address: str, body: object = None, kind: str = "application/json"
    ) -> Any:
        word = "Basic " + b64encode(f"{who}:pass-{who}".encode()).decode()
        headers = {"Authorization": word, "Accept": "application/json"}
        if body is None:
            answer = self.client.get(f"/api/{address}", headers=headers)
        else:
            answer = self.client.post(f"/api/{address}", body, content_type=kind, headers=headers)
        assert answer.status_code < 300, (address, answer.content)
        return answer.json() if answer.content else None

    def tell(self, who: str, job: str, *reports: Report) -> list[dict[str, Any]]:
        events = [
            {
                "uuid": str(uuid4()),
                "kind": kind,
                "happened_at": timezone.now().isoformat(),
                "payload": payload,
            }
            for kind, payload in reports
        ]
        answers = self.ask(who, f"jobs/{job}/events/", {"events": events})
        assert {answer["answer"] for answer in answers} <= {"recorded", "conflict"}, answers
        return events


@dataclass
class Day:
    """One job as its crew works it off. `told` are the disturbances as they were reported."""

    phones: Phones
    job: str
    crew: tuple[str, ...]
    told: list[str] = field(default_factory=list)

    def workers_work(self) -> None:
        """What the dispatch and replan workers do with the messages that were sent."""
        while replan := Replan.objects.filter(job=self.job, status="asked").first():
            replan_execute(replan_id=replan.id, worker="here", now=timezone.now(), search=_search)
        tasks_assign(job_id=UUID(self.job), now=timezone.now())

    def disturb(self, who: str, kind: str, **payload: Any) -> list[dict[str, Any]]:
        self.told.append(kind)
        events = self.phones.tell(who, self.job, (kind, payload))
        self.workers_work()
        return events

    def tasks(self, status: str) -> list[dict[str, Any]]:
        found: list[dict[str, Any]] = self.phones.ask(
            self.crew[0], f"jobs/{self.job}/tasks/?status={status}"
        )
        return found

    def tag_of(self, kind: str, status: str = "waiting", last: bool = False) -> str:
        tags = [task["tag"] for task in self.tasks(status) if task["kind"] == kind]
        return str(tags[-1 if last else 0])

    def work(self, rounds: int) -> int:
        """Everybody does the task in hand, so many times over; how many were done."""
        done = 0
        for _ in range(rounds):
            self.workers_work()
            cards = [(name, self.phones.ask(name, "my-task/")) for name in self.crew]
            at_hand = {card["task"]["key"]: (name, card["task"]) for name, card in cards if card}
            for name, task in sorted(at_hand.values(), key=lambda one: int(one[1]["sequence"])):
                self.phones.tell(name, self.job, _finished(task))
                done += 1
        return done


def _finished(task: dict[str, Any]) -> Report:
    kind = FINISHED_BY[task["kind"]]
    if task["kind"] == "fill":
        return kind, {"fill": task["fill"], "pads": 2}
    if task["kind"] == "close":
        return kind, {"tier": task["tier"]}
    if task["tag"]:
        pads = {
            "unpack": {"storage_pads_off": 1, "moving_pads_on": 0},
            "wrap": {"moving_pads_on": 2},
        }
        return kind, {"tag": task["tag"], **pads.get(task["kind"], {})}
    lane = {"lane": task["lane"]} if task["kind"] in ("move", "store") else {}
    return kind, {"vault": task["vault"], **lane}


def _list(lot: int) -> bytes:
    """Three vaults of six pieces, two of them one on the other, with measured sizes."""
    out = io.StringIO()
    lines = csv.writer(out)
    places = ("vault", "lane", "vault_depth", "vault_level", "lane_depth", "lane_levels")
    sizes = ("length_mm", "width_mm", "height_mm", "weight_kg")
    lines.writerow(("tag", "name", *sizes, *places))
    for number in range(PIECES):
        vault, within = divmod(number, 6)
        name, length, width, height, weight = KINDS[number % len(KINDS)]
        place = (f"L{lot}{vault // 2}", 1, vault % 2 + 1, 1, 2) if within == 0 else ("",) * 5
        tag = f"{lot}{number + 1:02d}"
        lines.writerow((tag, name, length, width, height, weight, f"V{lot}-{vault}", *place))
    return out.getvalue().encode()


@pytest.fixture
def phones(client: Client, transactional_db: None) -> Phones:
    branch = Branch.objects.create(code="ELM", name="Elm yard", time_zone="UTC")
    roles = {"mia": ("dispatcher", "office")} | {
        name: (part,) for crew in PARTS.values() for name, part in crew.items()
    }
    for name, kinds in roles.items():
        user = User.objects.create_user(name, password=f"pass-{name}", branch=branch)
        for kind in kinds:
            Role.objects.create(user=user, branch=branch, kind=kind)
    return Phones(client)


def _truck(phones: Phones, name: str) -> int:
    truck = phones.ask(
        "mia",
        "trucks/",
        {
            "branch": "ELM",
            "name": name,
            "interior_mm": [7000, 2400, 2500],
            "door_mm": [2300, 2400],
            "payload_kg": 6000,
            "ride": "air",
            "supports": [
                {"name": "front", "x_mm": 0, "tare_kg": 2000, "limit_kg": 7000},
                {"name": "rear", "x_mm": 5500, "tare_kg": 2000, "limit_kg": 9000},
            ],
        },
    )
    return int(truck["id"])


def _day(phones: Phones, lot: int, reference: str) -> Day:
    ask = partial(phones.ask, "mia")
    ask(f"imports/?branch=ELM&shipment=S-{lot}&lot=55{lot}", _list(lot), "text/csv")
    release = ask(
        "releases/",
        {
            "uuid": str(uuid4()),
            "branch": "ELM",
            "shipment": f"S-{lot}",
            "reference": f"R-{lot}",
            "receiver_name": "carrier",
        },
    )
    dock = ask(
        "docks/", {"branch": "ELM", "name": f"Door {lot}", "vault_spots": 2, "floor_m2": 14.0}
    )
    load = ask(
        "loads/",
        {
            "reference": reference,
            "release": release["id"],
            "truck": _truck(phones, f"Truck {lot}"),
            "dock": dock["id"],
            "distance_km": 60,
        },
    )
    job = ask(
        "jobs/",
        {
            "id": str(uuid4()),
            "load": load["id"],
            "day": "2026-03-04",
            "window_start": "2026-03-04T06:30:00Z",
            "window_end": "2026-03-04T15:00:00Z",
        },
    )["id"]
    run = ask(f"jobs/{job}/plan/", {"run": str(uuid4()), "budget_s": 2})["run"]
    plan_run_execute(run_id=UUID(run), worker="here", now=timezone.now(), search=_search)
    for name, part in PARTS[reference].items():
        ask(f"jobs/{job}/crew/", {"user": name, "part": part})
    plan = ask(f"plan-runs/{run}/")["plan"]
    assert ask(f"jobs/{job}/accept/", {"plan": plan})["has_tasks"]
    return Day(phones, job, tuple(PARTS[reference]))


def _first_job(day: Day) -> Iterator[Callable[[], Any]]:
    """Ten disturbances, each between some tasks."""
    size = {"length_mm": 700, "width_mm": 400, "height_mm": 300, "weight_g": 8000}
    yield lambda: day.disturb("wim", "seal_broken", vault="V1-0", seal="88-1", intact=True)
    yield lambda: day.disturb("ada", "piece_missing", tag=day.tag_of("unpack", last=True))
    yield lambda: day.disturb("ben", "piece_not_on_list", tag="190", name="mirror", **size)
    yield lambda: day.disturb("lou", "piece_does_not_fit", tag=day.tag_of("load"), note="post")
    yield lambda: day.disturb("mia", "job_paused", reason="weather", note="")
    yield lambda: day.disturb("mia", "job_resumed")
    yield lambda: day.disturb(
        "cleo", "exception_noted", tag=day.tag_of("unpack", "done"), note="corner rubbed"
    )
    yield lambda: day.disturb(
        "ada", "weight_corrected", tag=day.tag_of("load", last=True), weight_g=18_000
    )
    yield lambda: day.disturb(
        "ben", "piece_retagged", tag=day.tag_of("unpack", "done"), number="191"
    )
    yield lambda: day.disturb(
        "ada",
        "size_corrected",
        tag=day.tag_of("load", last=True),
        length_mm=650,
        width_mm=500,
        height_mm=450,
    )


def _second_job(day: Day, other_truck: int) -> Iterator[Callable[[], Any]]:
    ours = Job.objects.get(pk=day.job).crew
    member = {one.user.username: one.pk for one in ours.select_related("user")}
    leg = {"name": "leg", "length_mm": 700, "width_mm": 100, "height_mm": 100, "weight_g": 1500}
    size = {"length_mm": 600, "width_mm": 450, "height_mm": 300, "weight_g": 9000}
    yield lambda: day.disturb("dov", "helper_off", member=member["dov"])
    yield lambda: day.disturb("mia", "truck_changed", truck=other_truck)
    yield lambda: day.disturb("dov", "helper_on", member=member["dov"])
    yield lambda: day.disturb(
        "eli", "piece_taken_by_customer", tag=day.tag_of("unpack", last=True), note=""
    )
    yield lambda: day.disturb("fay", "carton_packed", tag="290", name="loose things", **size)
    yield lambda: day.disturb("eli", "helper_break", member=member["eli"])
    yield lambda: day.disturb("eli", "helper_on", member=member["eli"])
    yield lambda: day.disturb(
        "fay", "piece_taken_apart", tag=day.tag_of("load", last=True), parts=[leg, leg]
    )
    yield lambda: day.disturb(
        "fay", "pads_changed", tag=day.tag_of("unpack", "done"), moving_pads_on=1
    )

    def taken_back() -> None:
        mistake = day.disturb("wes", "piece_missing", tag=day.tag_of("load"))
        day.told.append("undone")
        day.phones.tell("wes", day.job, ("undone", {"event": mistake[0]["uuid"]}))
        day.workers_work()

    yield taken_back


def test_two_jobs_and_six_helpers_reach_the_last_tier(phones: Phones) -> None:
    first, second = _day(phones, 1, "day-1"), _day(phones, 2, "day-2")
    other_truck = _truck(phones, "Truck 3")
    disturbances = zip(_first_job(first), _second_job(second, other_truck), strict=True)
    for of_first, of_second in disturbances:
        for day, disturb in ((first, of_first), (second, of_second)):
            day.work(rounds=1)
            disturb()
    # Both in turn: one forklift serves both docks.
    while first.work(rounds=1) + second.work(rounds=1):
        pass
    for day in (first, second):
        phones.tell(day.crew[0], day.job, ("doors_closed", {"seal": "90-1"}), ("departed", {}))
    assert len(first.told + second.told) >= 20
    for day in (first, second):
        _demand_all_done(day)
        _demand_custody(day)


def _demand_all_done(day: Day) -> None:
    tasks = day.phones.ask("mia", f"jobs/{day.job}/tasks/")
    assert {task["status"] for task in tasks} <= {"done", "withdrawn"}, [
        (task["key"], task["status"], task["needs"])
        for task in tasks
        if task["status"] not in ("done", "withdrawn")
    ]
    closed = [task for task in tasks if task["kind"] == "close" and task["status"] == "done"]
    assert closed
    assert not Replan.objects.filter(job=day.job, status__in=("asked", "planning")).exists()


def _demand_custody(day: Day) -> None:
    """The record has no gap, tells each disturbance, and accounts for every piece on the list."""
    events = day.phones.ask("mia", f"jobs/{day.job}/events/")
    assert [event["sequence"] for event in events] == list(range(1, len(events) + 1))
    kinds = [event["kind"] for event in events]
    assert set(day.told) <= set(kinds)
    assert kinds[-2:] == ["doors_closed", "departed"]
    state = day.phones.ask("mia", f"jobs/{day.job}/state/")["state"]
    assert state == job_state_fresh(job=Job.objects.get(pk=day.job))
    job = Job.objects.get(pk=day.job)
    plan = job.plan
    assert plan is not None
    left_off = {left["tag"] for left in plan.document["left_off"]}
    for item in Item.objects.filter(shipment=job.load.release.shipment):
        tag = item.tags.order_by("assigned_at", "id").first().number
        piece = state["pieces"].get(tag)
        gone = tag in state["gone"] or (
            piece is not None and (piece["missing"] or piece["does_not_fit"])
        )
        assert gone or item.tag in left_off or (piece is not None and piece["stage"] == 3), tag
