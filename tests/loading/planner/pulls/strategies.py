"""Small yards for Hypothesis: lanes of their own heights, lost slots, ranks that tie and stay."""

from hypothesis import strategies as st

from loading.planner.pulls.stacks import Stacks


@st.composite
def small_stacks(draw: st.DrawFn) -> Stacks:
    heights = draw(st.lists(st.integers(1, 4), min_size=2, max_size=4))
    slots = [sorted(draw(st.sets(st.integers(1, high), max_size=3))) for high in heights]
    count = sum(map(len, slots))
    leaving = draw(st.integers(0, 5))
    ranks = iter(draw(st.lists(st.integers(0, leaving), min_size=count, max_size=count)))
    return Stacks(
        ranks=tuple(tuple(next(ranks) for _ in lane) for lane in slots),
        slots=tuple(tuple(lane) for lane in slots),
        heights=tuple(heights),
        leaving=leaving,
    )
