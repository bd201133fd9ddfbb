"""However events arrive (late, twice, out of order, in batches of any size), the state is right,
and so is the ledger of pads and equipment when the job closes."""

from collections import Counter
from collections.abc import Mapping
from itertools import permutations
from typing import Any
from uuid import UUID

import pytest
from django.db import transaction
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule, run_state_machine_as_test

from inventory.models import User
from jobs.folding import EventKind
from jobs.folding.kinds import FIELDS, OURS
from jobs.folding.state import ON_FLOOR, State, pads_in_truck
from jobs.models import Event, Job, JobState, Stream
from jobs.selectors.events import job_state_fresh
from jobs.services import events_record, job_close
from jobs.services.afterwards import Told, equipment_came_back
from jobs.services.taking_back import after_take_back
from loading.ledger import Account, Balances, Equipment, PlaceKind
from loading.selectors.equipment import equipment_balances
from loading.services import equipment_move
from tests.jobs.reports import report, sample_payload
from tests.jobs.stage import NOW, account_for_all

TAGS = ("001", "002", "006", "007", "006/1", "701", "999")
WAYS = st.sampled_from(sorted(set(EventKind) - OURS))
LEDGER_WAYS = tuple(permutations(PlaceKind, 2))
VALUES: dict[str, st.SearchStrategy[Any]] = {
    "tag": st.sampled_from(TAGS),
    "gone": st.sampled_from(TAGS),
    "number": st.sampled_from(("701", "702", "001")),
    "vault": st.sampled_from(("V1", "V2", "X9")),
    "lane": st.sampled_from(("L1", "L2")),
    "task": st.sampled_from(("load:001", "wrap:006")),
    "fill": st.integers(1, 2),
    "tier": st.integers(1, 3),
    "member": st.integers(1, 3),
    "truck": st.integers(1, 2),
    "pads": st.integers(0, 5),
    "storage_pads_off": st.integers(0, 5),
    "moving_pads_on": st.integers(0, 5),
    "moving_pads_off": st.integers(0, 5),
}


@st.composite
def told(draw: st.DrawFn) -> dict[str, Any]:
    """An event of any kind that people can report, about one of few things."""
    kind = draw(WAYS)
    payload = sample_payload(FIELDS[kind])
    payload |= {name: draw(VALUES[name]) for name in payload if name in VALUES}
    return report(kind, **payload) | {
        "happened_at": f"2026-03-04T12:0{draw(st.integers(0, 9))}:00+00:00"
    }


def _demand_one_place(state: State) -> None:
    """A piece has been wherever it was as often as its stage says, and is in one place at most."""
    for tag, piece in state["pieces"].items():
        assert piece["out"] - piece["returned"] == (piece["stage"] >= ON_FLOOR), tag
        assert piece["loaded"] - piece["taken_out"] == (piece["stage"] == 3), tag
    for gone in state["gone"].values():
        assert not gone["into"] or gone["how"] == "joined"
    for tag in state["gone"]:
        seen = [tag]
        while state["gone"].get(seen[-1], {"into": ""})["into"]:
            seen.append(state["gone"][seen[-1]]["into"])
            assert Counter(seen)[seen[-1]] == 1, f"{tag} is inside itself"
    assert not set(state["elsewhere"]) - {
        tag for tag, piece in state["pieces"].items() if piece["stage"] == 3
    }


def _demand_balance(state: State) -> None:
    """No pad comes from nowhere: accounts sum to nothing and agree with what is on the pieces."""
    pads = Counter(state["pads"])
    assert pads["moving_stack"] + pads["moving_on_pieces"] + pads["moving_in_gaps"] == 0
    assert pads["storage_stack"] + pads["storage_on_pieces"] == 0
    assert pads["moving_on_pieces"] + pads["moving_in_gaps"] == pads_in_truck(state)
    assert pads["storage_stack"] == sum(
        (piece["storage_pads_off"] or 0) + piece["storage_pads_changed"]
        for piece in state["pieces"].values()
    )


def _demand_ledger(found: Balances, expected: Mapping[tuple[Account, Equipment], int]) -> None:
    """Nothing came from nowhere, and every place holds what it must."""
    for kind in Equipment:
        assert sum(count for (_, of), count in found.items() if of is kind) == 0, kind
    assert dict(found) == {place: count for place, count in expected.items() if count}


class Phones(RuleBasedStateMachine):
    """What phones send of a job, now, later and again."""

    job: Job
    actor: User

    def __init__(self) -> None:
        super().__init__()
        self.savepoint = transaction.savepoint()
        self.sent: list[dict[str, Any]] = []
        self.kept_back: list[dict[str, Any]] = []
        self.moved: list[tuple[Account, Account, Equipment, int]] = []

    def teardown(self) -> None:
        transaction.savepoint_rollback(self.savepoint)

    def _send(self, events: list[dict[str, Any]]) -> list[tuple[str, str]]:
        answers = events_record(job=self.job, events=events, actor=self.actor, now=NOW)
        return [(answer.answer, answer.code) for answer in answers]

    @rule(events=st.lists(told(), min_size=1, max_size=8), late=st.booleans())
    def report_new(self, events: list[dict[str, Any]], late: bool) -> None:
        if late:
            self.kept_back += events
            return
        assert {answer for answer, _ in self._send(events)} <= {"recorded", "conflict"}
        self.sent += events

    @rule(data=st.data())
    def report_late_and_again(self, data: st.DataObject) -> None:
        mixed = data.draw(st.permutations(self.kept_back + self.sent))[:200]
        known = {event["uuid"] for event in self.sent}
        for event, (answer, _) in zip(mixed, self._send(mixed), strict=True):
            assert (answer == "repeated") == (event["uuid"] in known)
        self.sent += [event for event in mixed if event["uuid"] not in known]
        left = {event["uuid"] for event in mixed}
        self.kept_back = [event for event in self.kept_back if event["uuid"] not in left]

    @rule(data=st.data())
    def take_back(self, data: st.DataObject) -> None:
        reported = [event["uuid"] for event in self.sent + self.kept_back]
        if reported:
            undo = report("undone", event=data.draw(st.sampled_from(reported)))
            assert {answer for answer, _ in self._send([undo])} == {"recorded"}
            self.sent.append(undo)

    @rule(
        way=st.sampled_from(LEDGER_WAYS),
        count=st.integers(1, 50),
        equipment=st.sampled_from(Equipment),
    )
    def move_equipment(
        self, way: tuple[PlaceKind, PlaceKind], count: int, equipment: Equipment
    ) -> None:
        source, target = (self._account(kind) for kind in way)
        for _ in range(2):  # a phone may send it twice
            equipment_move(
                movement_id=UUID(int=len(self.moved) + 1),
                branch=self.job.branch,
                equipment=equipment,
                source=source,
                target=target,
                count=count,
                reason="counted",
                now=NOW,
            )
        self.moved.append((source, target, equipment, count))

    @rule(
        came=st.tuples(st.integers(0, 9), st.integers(0, 9), st.integers(0, 9)).filter(any),
        equipment=st.sampled_from(Equipment),
    )
    def close_and_look(self, came: tuple[int, int, int], equipment: Equipment) -> None:
        """Close the job, look at the ledger, let equipment come back and take that back, and go on
        as if the job had not been closed."""
        before = transaction.savepoint()
        account_for_all(self.job, self.actor)
        state = job_state_fresh(job=self.job)
        for _ in range(2):
            job_close(job=self.job, now=NOW)
        expected = self._expected(state)
        _demand_ledger(self._ledger(), expected)
        self._come_back(came, equipment, expected)
        transaction.savepoint_rollback(before)

    def _come_back(
        self,
        came: tuple[int, int, int],
        equipment: Equipment,
        closed: Counter[tuple[Account, Equipment]],
    ) -> None:
        """So many home, to the wash and lost, said twice; then taken back, twice as well."""
        said = Told(UUID(int=10**9), self.actor, NOW)
        home, wash, lost = came
        for _ in range(2):
            equipment_came_back(
                load=self.job.load,
                equipment=equipment,
                home=home,
                wash=wash,
                lost=lost,
                reason="torn",
                told=said,
            )
        after = Counter(closed)
        after[self._account(PlaceKind.JOB), equipment] -= sum(came)
        ways = (PlaceKind.WAREHOUSE, PlaceKind.WASH, PlaceKind.LOST)
        for place, count in zip(ways, came, strict=True):
            after[self._account(place), equipment] += count
        _demand_ledger(self._ledger(), after)
        for _ in range(2):
            undo = Told(UUID(int=10**9 + 1), self.actor, NOW)
            after_take_back(branch=self.job.branch, event=said.uuid, told=undo)
        _demand_ledger(self._ledger(), closed)

    def _ledger(self) -> Balances:
        return equipment_balances(branch_id=self.job.branch_id)

    def _account(self, kind: PlaceKind) -> Account:
        load = self.job.load
        keys = {
            PlaceKind.STORAGE: load.release.shipment.reference,
            PlaceKind.TRUCK: load.truck.name,
            PlaceKind.JOB: load.reference,
        }
        return Account(kind, keys.get(kind, ""))

    def _expected(self, state: State) -> Counter[tuple[Account, Equipment]]:
        """What each place holds by what was moved by hand and by what the events say of pads."""
        off_storage, on_goods = Counter(state["pads"])["storage_stack"], pads_in_truck(state)
        pad = Equipment.PAD
        held = Counter(
            {
                (self._account(PlaceKind.STORAGE), pad): -off_storage,
                (self._account(PlaceKind.WAREHOUSE), pad): off_storage,
                (self._account(PlaceKind.TRUCK), pad): -on_goods,
                (self._account(PlaceKind.JOB), pad): on_goods,
            }
        )
        for source, target, equipment, count in self.moved:
            held[source, equipment] -= count
            held[target, equipment] += count
        return held

    @invariant()
    def the_state_is_right(self) -> None:
        stored = JobState.objects.filter(job=self.job).first()
        if stored is None:
            return
        fresh = job_state_fresh(job=self.job)
        assert stored.state == fresh
        stream = Stream.objects.get(kind="job", key=str(self.job.id))
        numbers = list(stream.events.order_by("sequence").values_list("sequence", flat=True))
        assert numbers == list(range(1, len(self.sent) + 1))
        assert stored.sequence == stream.last_sequence == len(self.sent)
        _demand_one_place(fresh)
        _demand_balance(fresh)


@pytest.mark.django_db
def test_the_state_is_right_however_events_arrive(accepted: Job, dispatcher: User) -> None:
    Phones.job, Phones.actor = accepted, dispatcher
    run_state_machine_as_test(
        Phones,
        settings=settings(
            max_examples=25,
            stateful_step_count=8,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        ),
    )
    assert not Event.objects.exists()
