"""The releases of what goes on a second trip, found again by what they were made of."""

from uuid import UUID, uuid5

from inventory.models import Release
from loading.models import LoadPlan, TruckChoice


def trip_key(*, asked: UUID, release: Release) -> UUID:
    """The key of a release's second trip; `asked` is the run or the choice that proposed it."""
    return uuid5(asked, f"second trip of {release.uuid}")


def plan_second_trips(*, plan: LoadPlan) -> tuple[Release, ...]:
    """What was left off a plan and released for a second trip."""
    keys = [trip_key(asked=plan.run_id, release=one) for one in plan.load.releases()]
    return _made(keys)


def choice_second_trips(*, choice: TruckChoice) -> tuple[Release, ...]:
    """The second trip of a choice, once it is a release of its own."""
    return _made([trip_key(asked=choice.pk, release=choice.release)])


def _made(keys: list[UUID]) -> tuple[Release, ...]:
    return tuple(Release.objects.filter(uuid__in=keys).order_by("pk"))
