"""Retrieval instances, one JSON object a line, and answers to them.

An instance has `id`, `stacks` (numbers bottom to top; they leave in rising order, and if the
highest number is there more than once, those stay) and `hmax`. An answer has `id`, `moves` and
`proved`; a move is [from, to], stacks count from 0, and -1 is out.
"""

from __future__ import annotations

import json
from dataclasses import dataclass

from loading.planner.pulls.errors import InstanceError
from loading.planner.pulls.search import Relocation
from loading.planner.pulls.stacks import Stacks, with_pulls

LARGEST = 1 << 27  # stacks squared times blocks; the proof's memory is 24 bytes of each


@dataclass(frozen=True, slots=True)
class Instance:
    name: str
    stacks: Stacks


def parse_instance(line: str, number: int) -> Instance:
    """Raises InstanceError naming the line and the key."""
    try:
        document = json.loads(line)
    except (ValueError, RecursionError) as error:
        raise InstanceError(number, "", f"is not JSON: {error}") from error
    if not isinstance(document, dict):
        raise InstanceError(number, "", "is not an object")
    name, high, stacks = document.get("id"), document.get("hmax"), document.get("stacks")
    if not isinstance(name, str) or not name:
        raise InstanceError(number, "id", "is not a text")
    if type(high) is not int or high < 1:
        raise InstanceError(number, "hmax", "is not a whole number of at least 1")
    numbers = _numbers(stacks, high, number)
    turn = {value: rank for rank, value in enumerate(sorted({v for s in numbers for v in s}))}
    ranks = [[turn[value] for value in stack] for stack in numbers]
    # A stack never holds more than all there are: more height is no more room.
    height = min(high, sum(map(len, ranks)))
    return Instance(name, Stacks.of_full(ranks, [height] * len(ranks)))


def answer_line(instance: Instance, relocation: Relocation) -> str:
    """The answer in one line; no moves and not proved when no way was found."""
    moves = () if relocation.moves is None else with_pulls(instance.stacks, relocation.moves)
    proved = relocation.moves is not None and relocation.proved
    return json.dumps({"id": instance.name, "moves": [list(m) for m in moves], "proved": proved})


def _numbers(stacks: object, high: int, number: int) -> list[list[int]]:
    if not isinstance(stacks, list) or not stacks:
        raise InstanceError(number, "stacks", "is not a list of stacks")
    for place, stack in enumerate(stacks):
        if not isinstance(stack, list) or any(type(value) is not int for value in stack):
            raise InstanceError(number, f"stacks/{place}", "is not a list of whole numbers")
        if len(stack) > high:
            raise InstanceError(number, f"stacks/{place}", f"holds more than {high}")
    if not any(stacks):
        raise InstanceError(number, "stacks", "holds nothing")
    if len(stacks) ** 2 * sum(map(len, stacks)) > LARGEST:
        raise InstanceError(number, "stacks", "is too large to be searched")
    return stacks
