"""Which beams are run, one after the other: ever wider."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random
from typing import Protocol

from loading.planner.packing.catalogue import Taste

GROWTH = 2.0**0.5  # doubles the work of a beam from one width to the next
BLOCKS = 10_000
QUICK_BLOCKS = 1000
MOST_WIDTH = 400
FEW_TYPES = 24
VERY_FEW_TYPES = 15
DRAWN = 4  # recipes drawn for each width when there are very few types


@dataclass(frozen=True, slots=True)
class Recipe:
    """How blocks are scored, and how full of boxes they must be."""

    taste: Taste
    fill_percent: float


@dataclass(frozen=True, slots=True)
class Round:
    """One beam: its width, how many blocks are built, and by which recipe."""

    width: int
    blocks: int
    recipe: Recipe


@dataclass(frozen=True, slots=True)
class Shares:
    """Iterations for each of a beam: to refill what it found, and to polish the best so far."""

    refill: float
    polish: float


SHARES_FEW = Shares(0.4, 0.2)
SHARES_MANY = Shares(0.15, 0.15)

LOW = Taste(contact=1.5, height=8, boxes=0.2, slack_percent=1)
FAR = Taste(contact=4.0, height=1, boxes=0.4, slack_percent=1)

# Chosen on samples of BR1-BR15. With few types a beam soon finds all it ever will, and recipes
# differ by a point or more on one instance: trying several at each width pays. With many types a
# wider beam pays more, so each width has one recipe, and the next width another; blocks must be
# allowed a little air, or there are too few.
SUPPORTED_FEW = (
    Recipe(LOW, 100.0),
    Recipe(LOW._replace(contact=0.7), 98.0),
    Recipe(LOW._replace(boxes=0.5), 100.0),
    Recipe(LOW._replace(use=4.0), 98.0),
)
SUPPORTED_MANY = (
    Recipe(LOW, 98.0),
    Recipe(LOW._replace(boxes=0.4), 98.0),
    Recipe(LOW._replace(contact=1.0, slack_percent=3), 98.0),
    Recipe(LOW._replace(contact=2.0, height=20), 98.0),
)
UNSUPPORTED_FEW = (
    Recipe(FAR, 100.0),
    Recipe(FAR._replace(height=3), 100.0),
    Recipe(FAR._replace(height=3), 98.0),
)
UNSUPPORTED_MANY = (Recipe(FAR._replace(height=3), 98.0),)


def recipes_for(types: int, *, full_support: bool) -> tuple[Recipe, ...]:
    if full_support:
        return SUPPORTED_FEW if types <= FEW_TYPES else SUPPORTED_MANY
    return UNSUPPORTED_FEW if types <= FEW_TYPES else UNSUPPORTED_MANY


class Search(Protocol):
    """What the rounds drive."""

    stopped: bool
    iterations: int

    def beam(self, spec: Round) -> int: ...

    def refill(self, spec: Round, times: int) -> None: ...

    def polish(self, times: int) -> None: ...


def drawn_recipe(dice: Random, recipe: Recipe) -> Recipe:
    """A recipe near a given one; with few types no single recipe is best for long."""
    taste = recipe.taste
    return Recipe(
        Taste(
            contact=taste.contact * dice.choice((0.5, 0.7, 1.0, 1.4, 2.0)),
            use=dice.choice((1.0, 2.0, 4.0)),
            boxes=dice.choice((0.0, 0.2, 0.35, 0.5)),
            height=dice.choice((1, 3, 8)),
            slack_percent=dice.choice((1, 1, 2, 4)),
        ),
        dice.choice((98.0, 100.0, 100.0)),
    )


def run_rounds(search: Search, *, types: int, full_support: bool, seed: int) -> None:
    """Run beams, and refill what they find, until the search stops; first from few blocks."""
    recipes = recipes_for(types, full_support=full_support)
    dice = Random(seed)
    shares = SHARES_FEW if types <= FEW_TYPES else SHARES_MANY
    search.beam(Round(1, QUICK_BLOCKS, recipes[0]))
    width = 2.0
    turn = 0
    while not search.stopped:
        for recipe in recipes_of_turn(recipes, dice, types=types, turn=turn):
            spec = Round(round(width), BLOCKS, recipe)
            began = search.iterations
            search.beam(spec)
            took = search.iterations - began
            search.refill(spec, int(took * shares.refill))
            search.polish(int(took * shares.polish))
        width = min(max(width * GROWTH, width + 0.5), MOST_WIDTH)
        turn += 1


def recipes_of_turn(
    recipes: tuple[Recipe, ...], dice: Random, *, types: int, turn: int
) -> tuple[Recipe, ...]:
    """The recipes of the beams of one width."""
    if types > FEW_TYPES:
        return (recipes[turn % len(recipes)],)
    number_drawn = DRAWN if types <= VERY_FEW_TYPES else 0
    return (*recipes, *(drawn_recipe(dice, recipes[0]) for _ in range(number_drawn)))
