"""What is still open of a job before it can be closed."""

from collections.abc import Mapping
from dataclasses import dataclass

from jobs.custody.accounting import End, TagAccount, open_tags
from jobs.models import Job
from jobs.selectors.custody import job_tags
from loading.selectors import plan_may_drive
from loading.selectors.equipment import LoadEquipment, load_equipment


@dataclass(frozen=True, slots=True)
class NamedAccount:
    """What became of a tag, with the name of its piece."""

    account: TagAccount
    name: str


@dataclass(frozen=True, slots=True)
class Closing:
    """`waiting` are the pieces of which nobody has said anything, `settled` all the others that
    are not on the truck; `equipment` is the truck's, with what was counted; `may_drive`: the plan
    is within all limits of the road."""

    waiting: tuple[NamedAccount, ...]
    settled: tuple[NamedAccount, ...]
    loaded: int
    way: Mapping[str, int]
    equipment: LoadEquipment
    may_drive: bool

    @property
    def may_close(self) -> bool:
        return not self.waiting and not any(line.missing for line in self.equipment.lines)


def job_closing(*, job: Job) -> Closing:
    """What keeps a job open. One without an accepted plan has no piece to account for."""
    accounts = job_tags(job=job) if job.plan_id else ()
    names = _names(job)
    named = [NamedAccount(account, names.get(account.tag, "")) for account in accounts]
    waiting = frozenset(open_tags(accounts))
    done = (End.LOADED, End.STAYS)
    return Closing(
        waiting=tuple(one for one in named if one.account.tag in waiting),
        settled=tuple(
            one for one in named if one.account.tag not in waiting and one.account.end not in done
        ),
        loaded=sum(account.end is End.LOADED for account in accounts),
        way=_way(job),
        equipment=load_equipment(load=job.load),
        may_drive=job.plan is None or plan_may_drive(plan=job.plan),
    )


def _way(job: Job) -> Mapping[str, int]:
    """Flights of stairs and metres of carrying, as somebody told them."""
    stored = getattr(job, "state", None)
    told = stored.state.get("way") if stored else None
    return told["value"] if told else {}


def _names(job: Job) -> dict[str, str]:
    if job.plan is None:
        return {}
    stored = getattr(job, "state", None)
    extra = stored.state["extra"] if stored else {}
    listed = {item["tag"]: item["name"] for item in job.plan.request_document["items"]}
    return {tag: new["name"] for tag, new in extra.items()} | listed
