"""How many people a piece takes, and what to say about lifting it.

The rule is a first filter, not an assessment: it looks at weight and size only, and not at
the person, the grip, the stairs or how often the lift is repeated.

- One person may carry a piece of at most 23 kg that a person can get the arms around.
  23 kg is the load constant of the Revised NIOSH Lifting Equation, the most it recommends
  under the best conditions (DHHS (NIOSH) 94-110). The reach limits are common practice
  without a published source.
- Everything else takes two.
- Two people can lift about two thirds of the sum of what each could lift alone, three about
  half (HSE L23, paragraphs 119-120). A piece above the limit of two is still carried by two,
  but on wheels or with straps, and the advice says so.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from loading.planner.request import Size

ONE_PERSON_LIMIT_G = 23_000
ARM_SPAN_MM = 1_500
"""The longest side that one person can steer through a doorway (common practice, no source)."""
ARM_REACH_MM = 700
"""The second longest side that one person can hold on both edges (common practice, no source)."""

_TEAM_SHARE = {1: (1, 1), 2: (2, 3), 3: (1, 2), 4: (1, 2)}


@dataclass(frozen=True, slots=True)
class LiftAdvice:
    """People to send, what so many should lift at most by hand, and whether this is more."""

    people: int
    limit_g: int
    needs_equipment: bool


def team_limit_g(each_g: Sequence[int]) -> int:
    """What a team should lift at most, in grams, from what each could lift alone.

    HSE L23, paragraphs 119-120: two people about 2/3 of the sum, three about 1/2; more than
    four are unlikely to work, which raises ValueError, as does nobody.
    """
    if len(each_g) not in _TEAM_SHARE:
        raise ValueError(f"a team of {len(each_g)} people cannot lift together")
    part, whole = _TEAM_SHARE[len(each_g)]
    return sum(each_g) * part // whole


def lift_advice(*, size_mm: Size, weight_g: int) -> LiftAdvice:
    """The people a piece takes, from its bare size in mm and its weight in g."""
    people = 1 if _one_can_hold(size_mm) and weight_g <= ONE_PERSON_LIMIT_G else 2
    limit_g = team_limit_g([ONE_PERSON_LIMIT_G] * people)
    return LiftAdvice(people=people, limit_g=limit_g, needs_equipment=weight_g > limit_g)


def _one_can_hold(size_mm: Size) -> bool:
    _, second_mm, longest_mm = sorted(size_mm)
    return longest_mm <= ARM_SPAN_MM and second_mm <= ARM_REACH_MM
