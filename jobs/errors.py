"""What can go wrong on the floor, a class per kind, each carrying what a person must know."""

from uuid import UUID

TAGS_TOLD = 20


class JobsError(Exception):
    """The base of every error of this app."""


class LoadHasJob(JobsError):
    """The load already has a job, and it is for another day or time."""

    def __init__(self, reference: str) -> None:
        self.reference = reference
        super().__init__(f"load {reference} already has another job")


class WindowInvalid(JobsError):
    """A job's window must end after it begins."""

    def __init__(self) -> None:
        super().__init__("the window must end after it begins")


class PlanOfAnotherLoad(JobsError):
    """A job can only take on a plan that was made for its own load."""

    def __init__(self, reference: str, version: int) -> None:
        self.reference, self.version = reference, version
        super().__init__(f"version {version} is no plan of load {reference}")


class PlanHoldsNoLonger(JobsError):
    """A former version of the plan cannot be gone back to: what happened since contradicts it."""

    def __init__(self, version: int, reason: str) -> None:
        self.version, self.reason = version, reason
        super().__init__(f"version {version} holds no longer: {reason}")


class JobClosed(JobsError):
    """Nothing more can be decided about a job that is closed."""

    def __init__(self, job_id: UUID) -> None:
        self.job_id = job_id
        super().__init__(f"job {job_id} is closed")


class TagsOpen(JobsError):
    """A job cannot be closed while nobody has said what became of some of its pieces."""

    def __init__(self, tags: tuple[str, ...]) -> None:
        self.tags = tags
        shown = ", ".join(tags[:TAGS_TOLD]) + (" …" if len(tags) > TAGS_TOLD else "")
        super().__init__(f"nobody has said what became of {len(tags)} pieces: {shown}")


class BatchTooLarge(JobsError):
    """A batch of events holds more than is taken at once; none of it was recorded."""

    def __init__(self, events: int, limit: int) -> None:
        self.events, self.limit = events, limit
        super().__init__(f"a batch holds at most {limit} events, this one {events}")


class CodeSpent(JobsError):
    """A pairing code was taken already, is too old, or never was."""

    def __init__(self) -> None:
        super().__init__("this code cannot be used; ask the dispatcher for a new one")


class NotOfBranch(JobsError):
    """The person has no role at the branch of the job."""

    def __init__(self, username: str, branch: str) -> None:
        self.username, self.branch = username, branch
        super().__init__(f"{username} has no role at branch {branch}")


class NotOnJob(JobsError):
    """The person does not work on the job (any more)."""

    def __init__(self, username: str, reference: str) -> None:
        self.username, self.reference = username, reference
        super().__init__(f"{username} is not on the floor of job {reference}")


class NotPermitted(JobsError):
    """The person may not do this at that branch."""

    def __init__(self, action: str, branch: str) -> None:
        self.action, self.branch = action, branch
        super().__init__(f"{action} is not permitted at branch {branch}")


class NoSuchJob(JobsError):
    """There is no such job, or the person may not know of it."""

    def __init__(self, job_id: UUID) -> None:
        self.job_id = job_id
        super().__init__(f"no job {job_id}")
