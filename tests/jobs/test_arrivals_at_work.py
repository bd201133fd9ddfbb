"""Vaults from outside compete for the forklift: who puts one away, when, and what is told of it."""

from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.test import Client
from django.urls import reverse

from inventory.models import Branch, Lane, User, Vault, VaultArrival
from inventory.services import arrival_announce, arrival_call_off, arrival_stow, vault_place
from jobs.models import Assignment, CrewMember, Event, Job, Task
from jobs.services import (
    crew_member_put,
    events_record,
    job_accept_plan,
    tasks_assign,
    work_resend,
)
from jobs.services.shifts import skills_put
from loading.models import Load
from tests.jobs import stage
from tests.jobs.reports import report
from tests.jobs.stage import DAY, NOW


@pytest.fixture(autouse=True)
def lanes(branch: Branch) -> None:
    """X9 bars V1 in L1, V2 stands behind both; L2 has room for two."""
    for name, levels in (("L1", 2), ("L2", 1)):
        Lane.objects.create(branch=branch, name=name, depth=2, levels=levels)
    for code, depth, level in (("V2", 2, 1), ("V1", 1, 1), ("X9", 1, 2)):
        lane = branch.lanes.get(name="L1")
        Vault.objects.create(branch=branch, code=code, lane=lane, depth=depth, level=level)


def expect(branch: Branch, code: str = "N1", minutes: int = -120, n: int = 1) -> VaultArrival:
    """Due two hours ago, an hour before the job: nothing of the day stands before it."""
    return arrival_announce(
        arrival_id=UUID(int=n),
        branch=branch,
        code=code,
        expected_at=NOW + timedelta(minutes=minutes),
        now=NOW,
    )


def given(job: Job, minutes: int = 0) -> dict[str, str]:
    found = tasks_assign(job_id=job.id, now=NOW + timedelta(minutes=minutes))
    return {one.task.key: one.person.username for one in found}


def tell(job: Job, by: User, *events: dict[str, Any]) -> list[str]:
    return [one.answer for one in events_record(job=job, events=events, actor=by, now=NOW)]


def in_hand(job: Job) -> Task | None:
    held = Assignment.objects.filter(task__job=job, task__kind="stow", ended_at__isnull=True)
    found = held.first()
    return found.task if found else None


def cell(code: str) -> tuple[str | None, int | None]:
    vault = Vault.objects.select_related("lane").get(code=code)
    return (vault.lane.name if vault.lane else None), vault.depth


def test_one_that_is_due_is_given_to_whoever_works_in_the_lanes(
    accepted: Job, crew: dict[str, CrewMember], branch: Branch
) -> None:
    expect(branch)
    hands = given(accepted)
    assert hands["stow:N1"] == "wim"
    assert "move:X9" not in hands, "the forklift does one thing at a time"
    task = in_hand(accepted)
    assert task is not None
    assert (task.vault, task.lane, task.status) == ("N1", "L2", "assigned")
    assert given(accepted) == {}


def test_only_who_is_certified_puts_it_away(
    accepted: Job, crew: dict[str, CrewMember], branch: Branch
) -> None:
    expect(branch)
    walt = stage.make_person(branch, "walt", "warehouse")
    crew_member_put(job=accepted, user=walt, part="warehouse", now=NOW)
    skills_put(branch=branch, person=walt, kinds=["forklift"])
    assert given(accepted)["stow:N1"] == "walt"


def test_what_the_day_has_before_it_goes_first(
    accepted: Job, crew: dict[str, CrewMember], branch: Branch
) -> None:
    """Due a minute ago, long after the dock wanted its first vault."""
    expect(branch, minutes=-1)
    assert "move:X9" in given(accepted)
    assert in_hand(accepted) is None


def test_one_that_is_not_due_yet_waits(
    accepted: Job, crew: dict[str, CrewMember], branch: Branch
) -> None:
    expect(branch, minutes=1)
    events = [report("vault_moved", vault="X9", lane="L2"), report("vault_pulled", vault="V1")]
    tell(accepted, crew["wim"].user, *events, report("piece_fetched", tag="007"))
    given(accepted)
    assert in_hand(accepted) is None


@pytest.fixture
def other(branch: Branch, load: Load) -> Job:
    """A job of the day whose only work is done by wes, who is free."""
    second = stage.make_load_at_another_dock(branch, [{"do": "pull", "vault": "W1"}])
    job = job_accept_plan(job=stage.make_job(second), plan=second.plans.get(), by=None, now=NOW)
    wes = stage.make_person(branch, "wes", "warehouse")
    crew_member_put(job=job, user=wes, part="warehouse", now=NOW)
    tell(job, wes, report("vault_pulled", vault="W1"))
    return job


def test_people_of_another_job_put_it_away_and_the_forklift_is_theirs(
    accepted: Job, crew: dict[str, CrewMember], branch: Branch, other: Job
) -> None:
    expect(branch)
    tell(accepted, crew["wim"].user, report("piece_fetched", tag="007"))
    assert given(other) == {"stow:N1": "wes"}
    assert set(given(accepted)).isdisjoint({"stow:N1", "move:X9"})
    tell(other, crew["wim"].user, report("vault_stowed", vault="N1", lane="L2"))
    assert "move:X9" in given(accepted)


def test_a_dock_that_can_begin_keeps_it_waiting_on_every_job(
    accepted: Job, crew: dict[str, CrewMember], branch: Branch, other: Job
) -> None:
    expect(branch, minutes=-1)
    assert given(other) == {}
    assert "move:X9" in given(accepted)
    tell(accepted, crew["wim"].user, report("vault_moved", vault="X9", lane="L2"))
    resting = report("helper_break", member=crew["wim"].pk)
    tell(accepted, crew["wim"].user, resting)
    assert given(other) == {"stow:N1": "wes"}, "nobody is there for the dock that goes first"


def test_where_it_stands_is_an_event_and_on_the_map(
    accepted: Job, crew: dict[str, CrewMember], branch: Branch
) -> None:
    arrival = expect(branch)
    given(accepted)
    stowed = report("vault_stowed", vault="N1", lane="L2")
    assert tell(accepted, crew["wim"].user, stowed, stowed) == ["recorded", "repeated"]
    arrival.refresh_from_db()
    assert (cell("N1"), arrival.stowed_at) == (("L2", 2), NOW)
    assert Task.objects.get(key="stow:N1").status == "done"
    assert Event.objects.get(kind="vault_stowed").also_stream.kind == "warehouse"  # type: ignore[union-attr]
    assert "move:X9" in given(accepted)


def test_said_again_or_late_from_another_phone_moves_nothing(
    accepted: Job, crew: dict[str, CrewMember], branch: Branch, other: Job
) -> None:
    expect(branch)
    given(accepted)
    wim = crew["wim"].user
    tell(accepted, wim, report("vault_stowed", vault="N1", lane="L2"))
    again = report("vault_stowed", vault="N1", lane="L1")
    assert tell(accepted, wim, again) == ["conflict"]
    vault_place(vault=Vault.objects.get(code="N1"), lane=None, depth=None, level=None)
    tell(other, wim, report("vault_stowed", vault="N1", lane="L1"))
    assert cell("N1") == (None, None), "it was pulled since"


def test_what_was_shifted_before_its_stowing_was_heard_stays(
    accepted: Job, crew: dict[str, CrewMember], branch: Branch
) -> None:
    Lane.objects.create(branch=branch, name="L3", depth=1, levels=1)
    arrival = expect(branch)
    given(accepted)
    wim = crew["wim"].user
    tell(accepted, wim, report("vault_moved", vault="N1", lane="L3"))
    tell(accepted, wim, report("vault_stowed", vault="N1", lane="L2"))
    arrival.refresh_from_db()
    assert cell("N1")[0] == "L3"
    assert arrival.stowed_at == NOW


@pytest.mark.parametrize("lane", ["L9", "L3"])
def test_a_lane_that_cannot_be_is_recorded_and_the_vault_waits_for_a_place(
    accepted: Job, crew: dict[str, CrewMember], branch: Branch, lane: str
) -> None:
    full = Lane.objects.create(branch=branch, name="L3", depth=1, levels=1)
    Vault.objects.create(branch=branch, code="F1", lane=full, depth=1, level=1)
    arrival = expect(branch)
    given(accepted)
    tell(accepted, crew["wim"].user, report("vault_stowed", vault="N1", lane=lane))
    arrival.refresh_from_db()
    assert (cell("N1")[0], arrival.stowed_at) == (None, NOW)


def test_taken_back_it_is_expected_and_given_out_again(
    accepted: Job, crew: dict[str, CrewMember], branch: Branch
) -> None:
    arrival = expect(branch)
    given(accepted)
    stowed = report("vault_stowed", vault="N1", lane="L2")
    tell(accepted, crew["wim"].user, stowed)
    tell(accepted, crew["wim"].user, report("undone", event=stowed["uuid"]))
    arrival.refresh_from_db()
    assert (cell("N1"), arrival.stowed_at) == ((None, None), None)
    assert given(accepted)["stow:N1"] == "wim"


def test_taken_back_before_it_was_heard_it_stands_nowhere(
    accepted: Job, crew: dict[str, CrewMember], branch: Branch
) -> None:
    arrival = expect(branch)
    given(accepted)
    stowed = report("vault_stowed", vault="N1", lane="L2")
    tell(accepted, crew["wim"].user, report("undone", event=stowed["uuid"]), stowed)
    arrival.refresh_from_db()
    assert (cell("N1"), arrival.stowed_at) == ((None, None), None)


def test_one_that_has_not_come_is_asked_for_half_an_hour_later(
    accepted: Job, crew: dict[str, CrewMember], branch: Branch
) -> None:
    arrival = expect(branch)
    given(accepted)
    tell(accepted, crew["wim"].user, report("vault_not_come", vault="N1"))
    arrival.refresh_from_db()
    assert arrival.expected_at > NOW
    assert in_hand(accepted) is None
    assert "move:X9" in given(accepted)
    tell(accepted, crew["wim"].user, report("vault_moved", vault="X9", lane="L2"))
    pulled = (report("vault_pulled", vault=code) for code in ("V1", "V2"))
    tell(accepted, crew["wim"].user, *pulled)
    tasks_assign(job_id=accepted.id, now=NOW)
    for one in Assignment.objects.filter(ended_at__isnull=True):
        tell(accepted, crew["wim"].user, report("helper_off", member=one.member_id))
    tell(accepted, crew["wim"].user, report("helper_on", member=crew["wim"].pk))
    assert "stow:N1" in given(accepted, minutes=60)


@pytest.mark.parametrize("way", ["elsewhere", "called off"])
def test_who_has_it_lets_go_when_it_came_another_way(
    accepted: Job, crew: dict[str, CrewMember], branch: Branch, way: str
) -> None:
    arrival = expect(branch)
    given(accepted)
    if way == "elsewhere":
        arrival_stow(arrival=arrival, lane=branch.lanes.get(name="L2"), now=NOW)
    else:
        arrival_call_off(arrival=arrival)
    assert accepted.id in work_resend(now=NOW)
    assert "move:X9" in given(accepted)
    assert Task.objects.get(key="stow:N1").status == "withdrawn"
    moved = report("vault_moved", vault="X9", lane="L2")
    tell(accepted, crew["wim"].user, moved)
    assert Task.objects.get(key="stow:N1").status == "withdrawn"


def test_who_leaves_the_floor_leaves_it_to_whoever_can(
    accepted: Job, crew: dict[str, CrewMember], branch: Branch, other: Job
) -> None:
    expect(branch)
    given(accepted)
    tell(accepted, crew["wim"].user, report("helper_off", member=crew["wim"].pk))
    assert given(other) == {"stow:N1": "wes"}
    assert "stow:N1" not in given(accepted)
    assert set(Task.objects.filter(kind="stow").values_list("job", "status")) == {
        (accepted.pk, "withdrawn"),
        (other.pk, "assigned"),
    }


def test_a_new_plan_takes_it_from_nobody(
    accepted: Job, crew: dict[str, CrewMember], branch: Branch
) -> None:
    expect(branch)
    given(accepted)
    job_accept_plan(job=accepted, plan=stage.store_plan(accepted.load), by=None, now=NOW)
    assert in_hand(accepted) is not None


def test_the_sweep_finds_a_job_for_it(
    accepted: Job, crew: dict[str, CrewMember], branch: Branch, other: Job
) -> None:
    assert other.id not in work_resend(now=NOW)
    expect(branch)
    assert other.id in work_resend(now=NOW)


def test_no_lane_that_would_bar_a_pull_is_chosen(
    accepted: Job, crew: dict[str, CrewMember], branch: Branch
) -> None:
    """L2 is full, and in L1 it would stand before the vaults of the day."""
    lane = branch.lanes.get(name="L2")
    for depth in (1, 2):
        Vault.objects.create(branch=branch, code=f"F{depth}", lane=lane, depth=depth, level=1)
    Lane.objects.filter(name="L1").update(depth=3)
    expect(branch)
    given(accepted)
    assert in_hand(accepted) is None


def test_the_warehouse_is_shown_it_and_says_where_it_stands(
    accepted: Job, crew: dict[str, CrewMember], branch: Branch, client: Client
) -> None:
    Lane.objects.create(branch=branch, name="12", depth=1, levels=1)
    expect(branch)
    given(accepted)
    client.force_login(crew["wim"].user)
    page = client.get(reverse("jobs:warehouse", args=[accepted.pk])).content.decode()
    assert "comes from outside" in page
    mine = client.get(reverse("jobs:my-task")).content.decode()
    assert "Put away vault from outside" in mine
    assert "It has not come yet" in mine
    said = {
        "uuid": str(uuid4()),
        "event": '{"kind": "vault_stowed", "payload": {"vault": "N1"}}',
        "lane": "12",
    }
    client.post(reverse("jobs:tell", args=[accepted.pk]), said)
    assert cell("N1") == ("12", 1)


def test_the_forklifts_page_takes_it_off_whoever_has_it(
    accepted: Job, crew: dict[str, CrewMember], branch: Branch, dispatcher: User, client: Client
) -> None:
    arrival = expect(branch)
    given(accepted)
    client.force_login(dispatcher)
    address = reverse("jobs:arrival-stow", args=[DAY, branch.code, arrival.pk])
    client.post(address, {"lane": "L2"})
    assert "move:X9" in given(accepted)
    assert in_hand(accepted) is None
