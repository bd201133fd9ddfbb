"""What can go wrong on the floor, a class per kind, each carrying what a person must know."""

from uuid import UUID

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

TAGS_TOLD = 20


class JobsError(Exception):
    """The base of every error of this app."""


class LoadHasJob(JobsError):
    """The load already has a job, and it is for another day or time."""

    def __init__(self, reference: str) -> None:
        self.reference = reference
        super().__init__(_("load %(reference)s already has another job") % {"reference": reference})


class WindowInvalid(JobsError):
    """A job's window must end after it begins."""

    def __init__(self) -> None:
        super().__init__(_("the window must end after it begins"))


class NoCrewProposed(JobsError):
    """Nobody, or not everybody who is named, was proposed for a job."""

    def __init__(self, reference: str) -> None:
        self.reference = reference
        super().__init__(
            _("for job %(reference)s no such crew was proposed") % {"reference": reference}
        )


class ShiftInvalid(JobsError):
    """A shift's times, or those of its breaks, cannot be."""

    def __init__(self) -> None:
        super().__init__(
            _("a shift ends after it begins, and its breaks lie within it, one after another")
        )


class PlanOfAnotherLoad(JobsError):
    """A job can only take on a plan that was made for its own load."""

    def __init__(self, reference: str, version: int) -> None:
        self.reference, self.version = reference, version
        super().__init__(
            _("version %(version)s is no plan of load %(reference)s")
            % {"version": version, "reference": reference}
        )


class PlanHoldsNoLonger(JobsError):
    """A former version of the plan cannot be gone back to: what happened since contradicts it."""

    def __init__(self, version: int, reason: str) -> None:
        self.version, self.reason = version, reason
        super().__init__(
            _("version %(version)s holds no longer: %(reason)s")
            % {"version": version, "reason": reason}
        )


class OrderOvertaken(JobsError):
    """An order of the pulls cannot be chosen any more: vaults that it has after `first` are pulled
    already, or are among the next work of somebody, which stays."""

    def __init__(self, first: str, pulled: tuple[str, ...], coming: tuple[str, ...]) -> None:
        self.first, self.pulled, self.coming = first, pulled, coming
        out = ngettext(
            "%(vaults)s is pulled already", "%(vaults)s are pulled already", len(pulled)
        ) % {"vaults": ", ".join(pulled)}
        to_come = ngettext(
            "%(vaults)s is the next work of somebody, which stays",
            "%(vaults)s are the next work of somebody, which stays",
            len(coming),
        ) % {"vaults": ", ".join(coming)}
        why = "; ".join(said for said, told in ((out, pulled), (to_come, coming)) if told)
        super().__init__(
            _("this order cannot hold any more, it has %(first)s before: %(why)s")
            % {"first": first, "why": why}
        )


class OrderBlocked(JobsError):
    """No way was found to pull vaults in an order, as the lanes stand now."""

    def __init__(self, code: str, reason: str) -> None:
        self.code, self.reason = code, reason
        super().__init__(_("the lanes do not allow this order: %(reason)s") % {"reason": reason})


class OrderUuidReused(JobsError):
    """A choice of an order arrived under a UUID that stands for another one."""

    def __init__(self, uuid: UUID) -> None:
        self.uuid = uuid
        super().__init__(_("%(uuid)s was already used for something else") % {"uuid": uuid})


class JobClosed(JobsError):
    """Nothing more can be decided about a job that is closed."""

    def __init__(self, job_id: UUID) -> None:
        self.job_id = job_id
        super().__init__(_("job %(job_id)s is closed") % {"job_id": job_id})


class TagsOpen(JobsError):
    """A job cannot be closed while nobody has said what became of some of its pieces."""

    def __init__(self, tags: tuple[str, ...]) -> None:
        self.tags = tags
        shown = ", ".join(tags[:TAGS_TOLD]) + (" …" if len(tags) > TAGS_TOLD else "")
        super().__init__(
            _("nobody has said what became of %(tags)s pieces: %(shown)s")
            % {"tags": len(tags), "shown": shown}
        )


class BatchTooLarge(JobsError):
    """A batch of events holds more than is taken at once; none of it was recorded."""

    def __init__(self, events: int, limit: int) -> None:
        self.events, self.limit = events, limit
        super().__init__(
            _("a batch holds at most %(limit)s events, this one %(events)s")
            % {"limit": limit, "events": events}
        )


class CodeSpent(JobsError):
    """A pairing code was taken already, is too old, or never was."""

    def __init__(self) -> None:
        super().__init__(_("this code cannot be used; ask the dispatcher for a new one"))


class NotOfBranch(JobsError):
    """The person has no role at the branch of the job."""

    def __init__(self, username: str, branch: str) -> None:
        self.username, self.branch = username, branch
        super().__init__(
            _("%(username)s has no role at branch %(branch)s")
            % {"username": username, "branch": branch}
        )


class NotOnJob(JobsError):
    """The person does not work on the job (any more)."""

    def __init__(self, username: str, reference: str) -> None:
        self.username, self.reference = username, reference
        super().__init__(
            _("%(username)s is not on the floor of job %(reference)s")
            % {"username": username, "reference": reference}
        )


class TakeBackRefused(JobsError):
    """What was said to be done in the warehouse cannot be taken back (any more)."""

    def __init__(self, reason: str) -> None:
        self.reason = reason
        super().__init__(_("this cannot be taken back: %(reason)s") % {"reason": reason})


class NotPermitted(JobsError):
    """The person may not do this at that branch."""

    def __init__(self, action: str, branch: str) -> None:
        self.action, self.branch = action, branch
        super().__init__(
            _("your role at branch %(branch)s does not allow this: %(action)s")
            % {"action": action, "branch": branch}
        )


class NoSuchJob(JobsError):
    """There is no such job, or the person may not know of it."""

    def __init__(self, job_id: UUID) -> None:
        self.job_id = job_id
        super().__init__(_("no job %(job_id)s") % {"job_id": job_id})
