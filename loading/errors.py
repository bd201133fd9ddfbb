"""What can go wrong in loading: a class per kind, carrying what a person needs to right it."""

from dataclasses import dataclass
from uuid import UUID


class LoadingError(Exception):
    """The base of every error of this app."""


@dataclass(frozen=True)
class BadKey:
    """One fault of a document: where (a JSON pointer) and what is wrong there."""

    pointer: str
    message: str


class DocumentInvalid(LoadingError):
    """A truck, dock or request that breaks the planning contract; all its faults at once."""

    def __init__(self, faults: tuple[BadKey, ...]) -> None:
        self.faults = faults
        super().__init__("; ".join(f"{fault.pointer}: {fault.message}" for fault in faults))


class NameTaken(LoadingError):
    """The branch has a truck or a dock of this name, and it is another one."""

    def __init__(self, kind: str, name: str) -> None:
        self.kind, self.name = kind, name
        super().__init__(f"this branch already has another {kind} named {name}")


class ReferenceTaken(LoadingError):
    """The branch has a load of this reference, and it is another one."""

    def __init__(self, reference: str) -> None:
        self.reference = reference
        super().__init__(f"this branch already has another load {reference}")


class BranchesDiffer(LoadingError):
    """Release, truck and dock of a load do not belong to one branch."""

    def __init__(self, branches: dict[str, str]) -> None:
        self.branches = branches
        told = ", ".join(f"{part} in {branch}" for part, branch in branches.items())
        super().__init__(f"one branch loads a truck at its own dock: {told}")


class RunIdReused(LoadingError):
    """A plan run of this id exists, and it asks for something else."""

    def __init__(self, run_id: UUID) -> None:
        self.run_id = run_id
        super().__init__(f"plan run {run_id} exists and asks for something else")


class RunFinished(LoadingError):
    """A run that has ended cannot be cancelled."""

    def __init__(self, run_id: UUID, status: str) -> None:
        self.run_id, self.ended = run_id, status
        super().__init__(f"plan run {run_id} has ended already ({status})")


class NoPlanYet(LoadingError):
    """The load has no plan, or none of that version, that could be shown."""

    def __init__(self, reference: str, version: int | None = None) -> None:
        self.reference, self.version = reference, version
        wanted = "plan yet" if version is None else f"plan of version {version}"
        super().__init__(f"load {reference} has no {wanted}")


class NoSuchGap(LoadingError):
    """At that point, or on that side of that piece, there is no gap in the load."""

    def __init__(self) -> None:
        super().__init__("there is no gap there: a wall, the doors or a piece is next to it")


class NoSuchTier(LoadingError):
    """The plan has no tier of this number."""

    def __init__(self, tier: int, tiers: int) -> None:
        self.tier, self.tiers = tier, tiers
        super().__init__(f"the plan has tiers 1 to {tiers}, not {tier}")


class NoSuchPaper(LoadingError):
    """A plan has no paper of that kind."""

    def __init__(self, kind: str) -> None:
        self.kind = kind
        super().__init__(f"a plan has no paper {kind!r}")


class EquipmentRefused(LoadingError):
    """A movement or count of equipment that cannot be; `field` names what is wrong."""

    def __init__(self, field: str, message: str) -> None:
        self.field = field
        super().__init__(f"{field}: {message}")


class EquipmentUuidReused(LoadingError):
    """A movement or count arrived under a UUID that stands for another one."""

    def __init__(self, uuid: UUID) -> None:
        self.uuid = uuid
        super().__init__(f"{uuid} was already used for something else")


class TicketUuidReused(LoadingError):
    """A weight ticket arrived under a UUID that stands for another one."""

    def __init__(self, uuid: UUID) -> None:
        self.uuid = uuid
        super().__init__(f"{uuid} was already used for something else")


class NoTruckNamed(LoadingError):
    """A choice needs at least one truck to choose from."""

    def __init__(self) -> None:
        super().__init__("name at least one truck to choose from")


class NoSecondTrip(LoadingError):
    """Nothing is left for a second trip."""

    def __init__(self) -> None:
        super().__init__("one trip takes it all: nothing is left for a second one")


class ChoiceUuidReused(LoadingError):
    """A question for a truck arrived under a UUID that stands for another one."""

    def __init__(self, uuid: UUID) -> None:
        self.uuid = uuid
        super().__init__(f"{uuid} was already used for something else")


class StudyUuidReused(LoadingError):
    """A question about a plan's dock arrived under a UUID that stands for another plan's."""

    def __init__(self, uuid: UUID) -> None:
        self.uuid = uuid
        super().__init__(f"{uuid} was already used for something else")


class EquipmentUnexplained(LoadingError):
    """A truck's equipment is not all there, or too much, and no movement says why."""

    def __init__(self, reference: str, missing: dict[str, int]) -> None:
        self.reference, self.missing = reference, missing
        told = ", ".join(
            f"{count} {kind} missing" if count > 0 else f"{-count} {kind} too many"
            for kind, count in missing.items()
        )
        super().__init__(f"{reference}: {told}; say what became of it")
