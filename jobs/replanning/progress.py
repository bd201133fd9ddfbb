"""What has been done, and what will be done as planned, in the steps of the planning contract."""

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from typing import Final

from jobs.folding.state import LOADED, State, piece_key
from jobs.replanning.goods import goods_now, tag_now
from loading.planner.fitting import Standing
from loading.planner.fitting.snapping import Reported, snap
from loading.planner.plan import Fill, LoadPlan, Placement, Step
from loading.planner.request import LoadRequest, Progress

_OF_A_VAULT: Final = ("move", "pull", "store", "clear")


def request_now(
    former: LoadRequest,
    plan: LoadPlan,
    state: State,
    *,
    frozen: Collection[str] = (),
) -> LoadRequest:
    """The request for the rest of the load, after what `state` says of the job so far.

    `former` and `plan` are the request and plan that people work by, `frozen` keys of its tasks
    that will be done as planned: they count as done. A piece that was loaded nobody can say where
    is no longer in the request.
    """
    request = goods_now(former, state)
    known = _Known(former, plan, request, state)
    steps = known.done()
    done = Counter(_subject(step) for step in steps)
    steps += known.to_come(done, frozen)
    places = known.places(steps)
    lost = known.loaded_somewhere(places)
    request = replace(
        request,
        items=tuple(item for item in request.items if item.tag not in lost),
        vaults=tuple(
            replace(vault, items=tuple(tag for tag in vault.items if tag not in lost))
            for vault in request.vaults
        ),
    )
    kept = tuple(step for step in steps if step.tag not in lost)
    fills = known.fills(kept)
    return replace(request, progress=Progress(kept, tuple(places.values()), fills))


def _subject(step: Step) -> tuple[str, str]:
    number = step.fill if step.fill is not None else step.tier
    return step.do, step.tag or step.vault or str(number)


@dataclass(slots=True)
class _Known:
    """The former plan beside the new request, with tags as they are now."""

    former: LoadRequest
    plan: LoadPlan
    request: LoadRequest
    state: State
    pulled: set[str] = field(default_factory=set)

    def done(self) -> list[Step]:
        """The steps that were done; a vault that pieces came out of was pulled before."""
        steps: list[Step] = []
        for do, subject, *lane in self.state["steps"]:
            tag = tag_now(self.state, subject)
            if do in _OF_A_VAULT:
                steps += self._of_vault(do, subject, lane[0] if lane else None)
            elif do == "fill":
                steps += [Step("fill", fill=int(subject))] if self._fill(int(subject)) else []
            elif do == "close":
                steps.append(Step("close", tier=int(subject)))
            elif self.request.has_item(tag):
                steps += self._of_piece(do, tag)
        return steps

    def _of_vault(self, do: str, code: str, lane: str | None) -> list[Step]:
        if do == "pull":
            if code in self.pulled:
                return []
            self.pulled.add(code)
        if do in ("store", "clear"):
            self.pulled.discard(code)
        return [Step(do, vault=code, lane=lane)]

    def _of_piece(self, do: str, tag: str) -> list[Step]:
        if do != "out":
            return [Step(do, tag=tag)]
        code = self.request.vault_of(tag)
        if code is None:
            return [Step("fetch", tag=tag)]
        return [*(() if code in self.pulled else self._of_vault("pull", code, None)), _unpack(tag)]

    def to_come(self, done: Mapping[tuple[str, str], int], frozen: Collection[str]) -> list[Step]:
        """The steps of frozen tasks, in the order of the plan."""
        turns: Counter[tuple[str, str]] = Counter()
        steps = []
        for step in self.plan.steps:
            turns[_subject(step)] += 1
            turn, (do, subject) = turns[_subject(step)], _subject(step)
            key = f"{do}:{subject}" if turn == 1 else f"{do}#{turn}:{subject}"
            now = replace(step, tag=tag_now(self.state, step.tag)) if step.tag else step
            if key in frozen and turn > done.get(_subject(now), 0) and self._is_there(now):
                steps.append(now)
        return steps

    def _is_there(self, step: Step) -> bool:
        return step.tag is None or self.request.has_item(step.tag)

    def places(self, steps: list[Step]) -> dict[str, Placement]:
        """Where the pieces stand that are loaded after these steps, by tag, in their order."""
        planned = {tag_now(self.state, p.tag): p for p in self.plan.placements}
        places: dict[str, Placement] = {}
        for step in steps:
            tag = step.tag or ""
            if step.do == "take_out":
                places.pop(tag, None)
            elif step.do == "load":
                place = self._reported(tag, places) or planned.get(tag)
                if place is not None:
                    places[tag] = self._renamed(place)
        return places

    def _reported(self, tag: str, places: Mapping[str, Placement]) -> Placement | None:
        said = self.state["elsewhere"].get(piece_key(self.state, tag))
        if said is None:
            return None
        standing = Standing(self.request, places.values(), closed=self.state["closed_tiers"])
        snapped = snap(standing, Reported(tag=tag, **said["value"]))
        return snapped.placement if snapped else None

    def _renamed(self, place: Placement) -> Placement:
        inside = place.inside and tag_now(self.state, place.inside)
        if inside is not None and not self.request.has_item(inside):
            inside = None
        return replace(place, tag=tag_now(self.state, place.tag), inside=inside)

    def loaded_somewhere(self, places: Mapping[str, Placement]) -> frozenset[str]:
        """The tags of pieces that are loaded where nobody knows."""
        return frozenset(
            tag
            for key, piece in self.state["pieces"].items()
            if piece["stage"] == LOADED and (tag := tag_now(self.state, key)) not in places
        )

    def fills(self, steps: Collection[Step]) -> tuple[Fill, ...]:
        numbers = [step.fill for step in steps if step.do == "fill" and step.fill is not None]
        return tuple(fill for number in numbers if (fill := self._fill(number)))

    def _fill(self, number: int) -> Fill | None:
        return next((fill for fill in self.plan.fills if fill.fill == number), None)


def _unpack(tag: str) -> Step:
    return Step("unpack", tag=tag)
