"""The whole load as it stands: pieces, weight on the supports, length left."""

from django.test import Client
from django.urls import reverse

from jobs.models import CrewMember, Job
from jobs.selectors.boards import WholeBoard, whole_board
from jobs.services import events_record
from tests.jobs.reports import report
from tests.jobs.stage import NOW


def _board(job: Job) -> WholeBoard:
    job = Job.objects.get(pk=job.pk)
    assert job.plan is not None
    return whole_board(job=job, plan=job.plan)


def test_an_empty_truck_carries_itself(accepted: Job) -> None:
    board = _board(accepted)
    assert (board.pieces_in, board.weight_in_g) == (0, 0)
    tares_g = [round(support["tare_kg"] * 1000) for support in accepted.load.truck.supports]
    assert [support.now_g for support in board.supports] == tares_g


def test_what_is_in_rests_on_the_supports(accepted: Job, crew: dict[str, CrewMember]) -> None:
    empty = _board(accepted)
    told = [report("piece_loaded", tag=tag) for tag in ("001", "002")]
    events_record(job=accepted, events=told, actor=crew["lou"].user, now=NOW)
    board = _board(accepted)
    assert board.pieces_in == 2
    assert 0 < board.weight_in_g < board.weight_g == empty.weight_g
    # Whatever the places: forces in balance, so both supports together carry what is in.
    more_g = sum(s.now_g for s in board.supports) - sum(s.now_g for s in empty.supports)
    assert abs(more_g - board.weight_in_g) <= 1
    all_g = sum(s.planned_g for s in board.supports) - sum(s.now_g for s in empty.supports)
    assert abs(all_g - board.weight_g) <= 1


def test_the_page_tells_it(client: Client, accepted: Job, crew: dict[str, CrewMember]) -> None:
    told = [report("piece_loaded", tag="001")]
    events_record(job=accepted, events=told, actor=crew["lou"].user, now=NOW)
    client.force_login(crew["lou"].user)
    text = client.get(reverse("jobs:solid", args=[accepted.pk])).content.decode()
    board = _board(accepted)
    assert f"1 of {board.pieces} pieces are in" in " ".join(text.split())
    for support in board.supports:
        assert support.name in text
