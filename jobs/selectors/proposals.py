"""Changes of a day's crews that are worth a word with the dispatcher, and who stays where."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import TypedDict

from django.utils.functional import Promise
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext_lazy

from inventory.models import Branch, User
from jobs.models import CrewMember, CrewPin, DayBalance, Job


class ProposalRow(TypedDict):
    """A proposal as it is stored: keys of the person and of two jobs, and the gains."""

    person: int
    from_job: str
    to_job: str
    gain_min: int
    late_gain_min: int


@dataclass(frozen=True, slots=True)
class DayProposal:
    """Move a person from one job's crew to another's.

    `gain_min` is by how much the day's last job ends earlier, `late_gain_min` by how much less the
    jobs run over their windows, all together. `sentence` says so in the reader's language.
    """

    member: CrewMember
    to_job: Job
    gain_min: int
    late_gain_min: int

    @property
    def person(self) -> User:
        return self.member.user

    @property
    def from_job(self) -> Job:
        return self.member.job

    @property
    def sentence(self) -> Promise | str:
        gains = []
        if self.late_gain_min:
            late = ngettext_lazy(
                "%(n)d minute less over the windows", "%(n)d minutes less over the windows", "n"
            )
            gains.append(str(late % {"n": self.late_gain_min}))
        if self.gain_min:
            early = ngettext_lazy(
                "the last job ends %(n)d minute earlier",
                "the last job ends %(n)d minutes earlier",
                "n",
            )
            gains.append(str(early % {"n": self.gain_min}))
        return format_lazy(
            _("{person} from {from_job} to {to_job}: {gains}"),
            person=self.person.get_full_name() or self.person.get_username(),
            from_job=self.from_job.load.reference,
            to_job=self.to_job.load.reference,
            gains=", ".join(gains),
        )


@dataclass(frozen=True, slots=True)
class DayProposals:
    """The proposals that still stand, the best first; who is pinned; when it was looked last.

    `made_at` is None while nobody has looked at this day.
    """

    made_at: datetime | None
    proposals: tuple[DayProposal, ...]
    pins: tuple[CrewPin, ...]


def day_proposals(*, branch: Branch, day: date) -> DayProposals:
    """What the last look at the day's balance proposes, without what no longer applies.

    That is: the person has left or is pinned, or one of the jobs is closed.
    """
    balance = DayBalance.objects.filter(branch=branch, day=day).first()
    pins = CrewPin.objects.filter(day=day, job__branch=branch).select_related("person", "job__load")
    if balance is None:
        return DayProposals(None, (), tuple(pins))
    jobs = {
        str(job.pk): job
        for job in Job.objects.filter(
            branch=branch, day=day, status__in=Job.AT_WORK
        ).select_related("load")
    }
    members = CrewMember.objects.filter(job__in=jobs.values(), active=True)
    there = {
        (member.user_id, str(member.job_id)): member
        for member in members.select_related("user", "job__load")
    }
    stay = {pin.person_id for pin in pins}
    found = [_read(row, there, jobs, stay) for row in balance.proposals]
    standing = tuple(proposal for proposal in found if proposal is not None)
    return DayProposals(balance.made_at, standing, tuple(pins))


def _read(
    row: ProposalRow,
    there: Mapping[tuple[int, str], CrewMember],
    jobs: Mapping[str, Job],
    stay: Collection[int],
) -> DayProposal | None:
    member = there.get((row["person"], row["from_job"]))
    to_job = jobs.get(row["to_job"])
    if member is None or to_job is None or member.user_id in stay:
        return None
    if (member.user_id, row["to_job"]) in there:
        return None
    return DayProposal(member, to_job, row["gain_min"], row["late_gain_min"])
