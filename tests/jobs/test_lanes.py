"""Two jobs of a day in the same lane: the pull sheet says who goes first, and what comes early."""

from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from inventory.models import Branch, Item, Lane, User, Vault, VaultArrival
from inventory.services import arrival_announce
from jobs.models import Job, Replan, Task
from jobs.selectors.boards.forklift import ForkliftBoard, forklift_boards
from jobs.selectors.lanes import job_forklift_day, job_lanes_shared
from jobs.services import events_record, job_accept_plan, job_plan, replan_execute
from jobs.services.earlier_jobs import document_after_others
from loading.models import Load
from loading.planner.plan import LoadPlan as PlannedLoad
from loading.planner.pulls import SharedLane
from loading.planner.request import LoadRequest, parse_request
from tests.jobs.reports import report
from tests.jobs.scenario import PLAN, REQUEST
from tests.jobs.stage import (
    NOW,
    make_job,
    make_load_at_another_dock,
    make_person,
    make_piece,
    store_plan,
)


@pytest.fixture
def office(client: Client, dispatcher: User) -> Client:
    client.force_login(dispatcher)
    return client


@pytest.fixture
def lanes(branch: Branch) -> None:
    """Lane L1 holds V2 of the small load under W1 of the other one; V1 stands under X9 in L3."""
    for name in ("L1", "L2", "L3"):
        Lane.objects.create(branch=branch, name=name, depth=2, levels=2)
    for code, lane, level in (("V2", "L1", 1), ("W1", "L1", 2), ("V1", "L3", 1), ("X9", "L3", 2)):
        Vault.objects.create(
            branch=branch, code=code, lane=branch.lanes.get(name=lane), depth=2, level=level
        )


@pytest.fixture
def other(branch: Branch, load: Load) -> Job:
    """A job of the same day whose load pulls W1 alone, at another dock."""
    second = make_load_at_another_dock(branch, [{"do": "pull", "vault": "W1"}])
    return make_job(second)


def accept(job: Job) -> None:
    job_accept_plan(job=job, plan=job.load.plans.get(), by=None, now=NOW)


def test_the_job_whose_vault_stands_on_the_others_goes_first(
    lanes: None, accepted: Job, other: Job
) -> None:
    accept(other)
    shared = job_lanes_shared(job=accepted)
    assert shared is not None
    assert shared.order == ("other", "small")
    assert shared.lanes == (SharedLane("L1", ("other", "small")),)
    assert (shared.clashes, shared.blocked) == ((), None)


def test_a_job_whose_plan_is_not_accepted_does_not_count(
    lanes: None, accepted: Job, other: Job
) -> None:
    assert job_lanes_shared(job=accepted) is None


def test_a_vault_that_was_pulled_does_not_count(lanes: None, accepted: Job, other: Job) -> None:
    accept(other)
    Vault.objects.filter(code="W1").update(lane=None, depth=None, level=None)
    assert job_lanes_shared(job=accepted) is None


def test_no_room_for_what_stands_on_top_is_said(lanes: None, accepted: Job, other: Job) -> None:
    accept(other)
    branch = accepted.branch
    branch.lanes.get(name="L2").delete()
    cells = [(lane, level) for lane in ("L1", "L3") for level in (1, 2)]
    for n, (lane, level) in enumerate(cells):
        where = {"lane": branch.lanes.get(name=lane), "depth": 1, "level": level}
        Vault.objects.create(branch=branch, code=f"F{n}", **where)
    shared = job_lanes_shared(job=accepted)
    assert shared is not None
    assert shared.blocked is not None
    assert "short" in shared.blocked


def test_the_forklift_serves_both_docks(accepted: Job, other: Job) -> None:
    """Both want their first vault at once; what is pulled the evening before need not wait."""
    alone = job_forklift_day(job=accepted)
    accept(other)
    both = job_forklift_day(job=accepted)
    assert alone is not None
    assert both is not None
    assert (alone.latest_s, alone.evening) == (0, ())
    assert {call.dock for call in both.evening} == {"1", "2"}
    assert both.saved_s > 0


def test_a_replan_knows_what_other_jobs_did_in_its_lanes(accepted: Job, dispatcher: User) -> None:
    """Somebody else has set X9 aside, which stood on V1; the move is planned no more."""
    l1, l2 = (
        Lane.objects.create(branch=accepted.branch, name=name, depth=2, levels=2)
        for name in ("L1", "L2")
    )
    for code, lane, depth, level in (("V1", l1, 1, 1), ("V2", l1, 2, 1), ("X9", l2, 2, 1)):
        Vault.objects.create(branch=accepted.branch, code=code, lane=lane, depth=depth, level=level)
    missing = report("piece_missing", tag="003")
    events_record(job=accepted, events=[missing], actor=dispatcher, now=NOW)
    asked: list[LoadRequest] = []

    def search(request: LoadRequest, **_: Any) -> PlannedLoad:
        asked.append(request)
        return PlannedLoad(request.name, (), ())

    replan = Replan.objects.get(job=accepted, status="asked")
    replan_execute(replan_id=replan.id, worker="w", now=NOW, search=search)
    others = [(other.code, other.lane) for other in asked[0].other_vaults]
    assert others == [("X9", "L2")]


def test_the_pull_sheet_says_so(lanes: None, office: Client, accepted: Job, other: Job) -> None:
    accept(other)
    Job.objects.update(day=timezone.now().date() + timedelta(days=2))
    page = office.get(reverse("jobs:pulls", args=[accepted.id])).content.decode()
    text = " ".join(page.split())
    assert "Lane L1: other, then small" in text
    assert "One vault is set aside. No order of the pulls needs fewer." in text
    assert "To do the evening before" in text


def test_once_the_day_has_come_no_evening_is_left(
    lanes: None, office: Client, accepted: Job, other: Job
) -> None:
    accept(other)
    Job.objects.update(day=timezone.now().date() - timedelta(days=1))
    page = office.get(reverse("jobs:pulls", args=[accepted.id])).content.decode()
    assert "Lane L1:" in page
    assert "evening before" not in page


def test_a_job_is_planned_for_the_lanes_that_an_earlier_one_leaves(
    lanes: None, job: Job, other: Job
) -> None:
    """V2 is this load's and stands under W1, which is gone once the other load has pulled; that
    load's plan has to be accepted."""
    shipment = job.load.release.shipment
    v2 = Vault.objects.get(code="V2")
    Vault.objects.filter(pk=v2.pk).update(shipment=shipment)
    Item.objects.filter(pk=make_piece(shipment).pk).update(vault=v2, vault_position=1)
    assert "after_loads" not in planned_from(job)
    accept(other)
    document = planned_from(job)
    assert document["after_loads"] == ["other"]
    assert [vault["code"] for vault in document["other_vaults"]] == ["V1", "X9"]
    assert parse_request(document).after_loads == ("other",)


def planned_from(job: Job) -> dict[str, Any]:
    document = job_plan(job=job, seed=1, budget_s=1, send=False).request_document
    assert isinstance(document, dict)
    return document


def test_a_pull_from_a_lane_that_a_job_does_not_need_is_no_matter(
    lanes: None, job: Job, other: Job
) -> None:
    make_piece(job.load.release.shipment)
    accept(other)
    assert document_after_others(job=job) is None


def test_a_load_without_vaults_waits_for_nobody(lanes: None, job: Job, branch: Branch) -> None:
    """The other load shifts vaults about, in lanes of which this one needs none."""
    steps = [{"do": "move", "vault": "X9", "lane": "L2"}, {"do": "pull", "vault": "W1"}]
    accept(make_job(make_load_at_another_dock(branch, steps)))
    make_piece(job.load.release.shipment)
    assert document_after_others(job=job) is None


def test_a_job_that_begins_later_is_not_waited_for(lanes: None, job: Job, other: Job) -> None:
    accept(other)
    Job.objects.filter(pk=other.pk).update(window_start=job.window_start + timedelta(minutes=1))
    assert document_after_others(job=job) is None


def test_who_begins_earlier_pulls_first_whatever_it_costs(
    lanes: None, accepted: Job, other: Job
) -> None:
    """W1 stands on V2, so the other load would go first; but it begins an hour later."""
    accept(other)
    later = accepted.window_start + timedelta(hours=1)
    Job.objects.filter(pk=other.pk).update(window_start=later)
    shared = job_lanes_shared(job=accepted)
    assert shared is not None
    assert shared.order == ("small", "other")
    assert {clash.load for clash in shared.clashes} == {"small"}


def board_of(job: Job, user: User) -> ForkliftBoard:
    (board,) = forklift_boards(user=user, day=job.day)
    return board


def expect(job: Job, code: str, minutes: int, n: int = 1) -> VaultArrival:
    return arrival_announce(
        arrival_id=UUID(int=n),
        branch=job.branch,
        code=code,
        expected_at=job.window_start + timedelta(minutes=minutes),
        now=NOW,
    )


def test_one_list_for_both_docks(lanes: None, accepted: Job, other: Job, dispatcher: User) -> None:
    """What the other load takes out of the shared lane comes before what this one takes there."""
    accept(other)
    board = board_of(accepted, dispatcher)
    assert {line.load for line in board.lines} == {"small", "other"}
    times = [line.begins_at for line in board.lines]
    assert times == sorted(times)
    pulls = [line.call.vault for line in board.lines if line.call.does == "pull"]
    assert pulls.index("W1") < pulls.index("V2")


def test_what_is_done_is_on_the_list_no_more(accepted: Job, dispatcher: User) -> None:
    before = [line.call.name for line in board_of(accepted, dispatcher).lines]
    first = board_of(accepted, dispatcher).lines[0].call
    Task.objects.filter(job=accepted, kind=first.does, vault=first.vault).update(status="done")
    assert [line.call.name for line in board_of(accepted, dispatcher).lines] == before[1:]


def test_what_is_in_hand_when_a_plan_is_made_stays_on_the_list(
    accepted: Job, dispatcher: User
) -> None:
    """The new plan counts V1 as pulled, but somebody is only about to; X9 was set aside."""
    moved = report("vault_moved", vault="X9", lane="L2")
    events_record(job=accepted, events=[moved], actor=dispatcher, now=NOW)
    before = [line.call for line in board_of(accepted, dispatcher).lines]
    progress = {"steps": PLAN["steps"][:2], "placements": [], "fills": []}
    plan = store_plan(accepted.load, request=REQUEST | {"progress": progress})
    job_accept_plan(job=accepted, plan=plan, by=dispatcher, now=NOW)
    calls = [line.call for line in board_of(accepted, dispatcher).lines]
    assert (calls[0].does, calls[0].vault) == ("pull", "V1")
    assert [call.name for call in calls] == [call.name for call in before]
    assert board_of(accepted, dispatcher).latest_minutes == 0, "no dock waits for its own work"


def test_what_is_put_back_later_is_not_done_with_the_first_shift(
    accepted: Job, dispatcher: User
) -> None:
    back = {"do": "move", "vault": "X9", "lane": "L1"}
    moved = report("vault_moved", vault="X9", lane="L2")
    events_record(job=accepted, events=[moved], actor=dispatcher, now=NOW)
    progress = {"steps": PLAN["steps"][:1], "placements": [], "fills": []}
    longer = PLAN | {"steps": [*PLAN["steps"], back]}
    plan = store_plan(accepted.load, longer, REQUEST | {"progress": progress})
    job_accept_plan(job=accepted, plan=plan, by=dispatcher, now=NOW)
    moves = [line.call for line in board_of(accepted, dispatcher).lines if line.call.does == "move"]
    assert [call.name for call in moves] == [f"small:{len(longer['steps'])}"]


def test_an_inbound_vault_is_among_the_forklifts_work_and_bars_nothing(
    lanes: None, accepted: Job, dispatcher: User
) -> None:
    """V1 is to come out of L3 and V2 out of L1; only L2 is left for what comes in."""
    arrival = expect(accepted, "N1", minutes=20)
    line = next(line for line in board_of(accepted, dispatcher).lines if line.arrival)
    assert (line.arrival, line.lane) == (arrival, "L2")
    assert line.begins_at is not None
    assert line.begins_at >= arrival.expected_at


def test_an_inbound_vault_that_finds_no_lane_is_told(accepted: Job, dispatcher: User) -> None:
    expect(accepted, "N1", minutes=20)
    (line,) = [line for line in board_of(accepted, dispatcher).lines if line.arrival]
    assert line.lane is None, "the branch has no lanes"


def test_the_next_day_is_prepared_in_the_evening(
    accepted: Job, other: Job, dispatcher: User
) -> None:
    accept(other)
    (board,) = forklift_boards(user=dispatcher, day=accepted.day - timedelta(days=1))
    assert (board.lines, board.next_day) == ([], accepted.day)
    assert {line.call.dock for line in board.evening} == {"1", "2"}
    assert board.saved_minutes > 0


def test_the_page_takes_an_inbound_vault_from_announcing_to_its_lane(
    lanes: None, office: Client, accepted: Job, dispatcher: User
) -> None:
    page = reverse("jobs:forklift", args=[accepted.day])
    sent = {"arrival_id": str(UUID(int=1)), "vault": "N1", "at": "08:15"}
    for _ in range(2):
        office.post(reverse("jobs:arrival", args=[accepted.day, accepted.branch.code]), sent)
    arrival = VaultArrival.objects.get()
    text = " ".join(office.get(page).content.decode().split())
    assert "N1" in text
    assert "outside" in text
    assert "V2: vault that leaves today" in text
    assert "W1: another customer" in text
    stowed = reverse("jobs:arrival-stow", args=[accepted.day, accepted.branch.code, arrival.pk])
    for _ in range(2):
        assert office.post(stowed, {"lane": "L2"})["Location"] == page
    assert Vault.objects.get(code="N1").lane == accepted.branch.lanes.get(name="L2")
    assert not any(line.arrival for line in board_of(accepted, dispatcher).lines)


def test_an_inbound_vault_is_called_off(office: Client, accepted: Job) -> None:
    arrival = expect(accepted, "N1", minutes=0)
    office.post(reverse("jobs:arrival-off", args=[accepted.day, accepted.branch.code, arrival.pk]))
    assert not VaultArrival.objects.exists()


def test_only_who_may_write_announces(client: Client, branch: Branch, accepted: Job) -> None:
    client.force_login(make_person(branch, "hugo", "helper"))
    assert client.get(reverse("jobs:forklift", args=[accepted.day])).status_code == 200
    where = reverse("jobs:arrival", args=[accepted.day, accepted.branch.code])
    assert client.post(where, {"vault": "N1", "at": "08:15"}).status_code == 403
    assert Client().get(reverse("jobs:forklift", args=[accepted.day])).status_code == 302
