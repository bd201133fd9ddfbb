"""What comes out of the truck again: which pieces, and what has to come out before them."""

from dataclasses import replace

import pytest

from loading.planner.plan import Placement, Size, Step
from loading.planner.request import LoadRequest, Progress
from loading.planner.search.taking_out import with_taken_out
from loading.planner.search.warming import tiny_request

AT: dict[str, Size] = {
    "nose": (0, 0, 0),
    "on nose": (0, 0, 420),
    "before nose": (480, 0, 0),
    "beside": (0, 600, 0),
}


def test_what_was_loaded_again_counts_by_its_last_loading() -> None:
    """The one on top went in first, came out, and was put on what had gone in meanwhile."""
    request = loaded()
    assert request.progress is not None
    first = (Step("load", tag="on nose"), Step("take_out", tag="on nose"))
    steps = (*first, *request.progress.steps)
    request = replace(request, progress=replace(request.progress, steps=steps))

    asked = with_taken_out(request, ["nose"])

    assert asked.progress is not None
    out = [step.tag for step in asked.progress.steps[len(steps) :]]
    assert out == ["before nose", "on nose", "nose"]


def loaded() -> LoadRequest:
    tiny = tiny_request()
    items = tuple(replace(tiny.items[0], tag=tag) for tag in AT)
    places = tuple(
        Placement(tag, 1, "base", at, (480, 480, 420), "standing") for tag, at in AT.items()
    )
    steps = tuple(Step("load", tag=tag) for tag in AT)
    return replace(tiny, items=items, vaults=(), progress=Progress(steps, places, ()))


@pytest.mark.parametrize(
    ("tag", "out"),
    [
        ("nose", ["before nose", "on nose", "nose"]),
        ("on nose", ["on nose"]),
        ("before nose", ["before nose"]),
        ("beside", ["beside"]),
    ],
)
def test_what_bars_a_piece_comes_out_before_it(tag: str, out: list[str]) -> None:
    request = loaded()

    asked = with_taken_out(request, [tag])

    assert asked.progress is not None
    assert request.progress is not None
    assert asked.progress.steps[: len(AT)] == request.progress.steps
    assert [step.tag for step in asked.progress.steps[len(AT) :]] == out
    assert {place.tag for place in asked.progress.placements} == set(AT) - set(out)
