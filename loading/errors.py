"""What can go wrong in loading: a class per kind, carrying what a person needs to right it."""

from dataclasses import dataclass
from uuid import UUID

from django.utils.translation import gettext as _


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
        super().__init__(
            _("this branch already has another %(kind)s named %(name)s")
            % {"kind": kind, "name": name}
        )


class ReferenceTaken(LoadingError):
    """The branch has a load of this reference, and it is another one."""

    def __init__(self, reference: str) -> None:
        self.reference = reference
        super().__init__(
            _("this branch already has another load %(reference)s") % {"reference": reference}
        )


class BranchesDiffer(LoadingError):
    """Release, truck and dock of a load do not belong to one branch."""

    def __init__(self, branches: dict[str, str]) -> None:
        self.branches = branches
        told = ", ".join(f"{part} in {branch}" for part, branch in branches.items())
        super().__init__(_("one branch loads a truck at its own dock: %(told)s") % {"told": told})


class RunIdReused(LoadingError):
    """A plan run of this id exists, and it asks for something else."""

    def __init__(self, run_id: UUID) -> None:
        self.run_id = run_id
        super().__init__(
            _("plan run %(run_id)s exists and asks for something else") % {"run_id": run_id}
        )


class RunFinished(LoadingError):
    """A run that has ended cannot be cancelled."""

    def __init__(self, run_id: UUID, status: str) -> None:
        self.run_id, self.ended = run_id, status
        super().__init__(
            _("plan run %(run_id)s has ended already (%(status)s)")
            % {"run_id": run_id, "status": status}
        )


class NoPlanYet(LoadingError):
    """The load has no plan, or none of that version, that could be shown."""

    def __init__(self, reference: str, version: int | None = None) -> None:
        self.reference, self.version = reference, version
        said = (
            _("load %(reference)s has no plan yet")
            if version is None
            else _("load %(reference)s has no plan of version %(version)s")
        )
        super().__init__(said % {"reference": reference, "version": version})


class NoSuchGap(LoadingError):
    """At that point, or on that side of that piece, there is no gap in the load."""

    def __init__(self) -> None:
        super().__init__(_("there is no gap there: a wall, the doors or a piece is next to it"))


class NoSuchTier(LoadingError):
    """The plan has no tier of this number."""

    def __init__(self, tier: int, tiers: int) -> None:
        self.tier, self.tiers = tier, tiers
        super().__init__(
            _("the plan has tiers 1 to %(tiers)s, not %(tier)s") % {"tiers": tiers, "tier": tier}
        )


class NoSuchPaper(LoadingError):
    """A plan has no paper of that kind."""

    def __init__(self, kind: str) -> None:
        self.kind = kind
        super().__init__(_("a plan has no paper %(kind)s") % {"kind": repr(kind)})


class EquipmentRefused(LoadingError):
    """A movement or count of equipment that cannot be; `field` names what is wrong."""

    def __init__(self, field: str, message: str) -> None:
        self.field = field
        super().__init__(f"{field}: {message}")


class EquipmentUuidReused(LoadingError):
    """A movement or count arrived under a UUID that stands for another one."""

    def __init__(self, uuid: UUID) -> None:
        self.uuid = uuid
        super().__init__(_("%(uuid)s was already used for something else") % {"uuid": uuid})


class TicketUuidReused(LoadingError):
    """A weight ticket arrived under a UUID that stands for another one."""

    def __init__(self, uuid: UUID) -> None:
        self.uuid = uuid
        super().__init__(_("%(uuid)s was already used for something else") % {"uuid": uuid})


class NoTruckNamed(LoadingError):
    """A choice needs at least one truck to choose from."""

    def __init__(self) -> None:
        super().__init__(_("name at least one truck to choose from"))


class NoSecondTrip(LoadingError):
    """Nothing is left for a second trip."""

    def __init__(self) -> None:
        super().__init__(_("one trip takes it all: nothing is left for a second one"))


class ChoiceUuidReused(LoadingError):
    """A question for a truck arrived under a UUID that stands for another one."""

    def __init__(self, uuid: UUID) -> None:
        self.uuid = uuid
        super().__init__(_("%(uuid)s was already used for something else") % {"uuid": uuid})


class StudyUuidReused(LoadingError):
    """A question about a plan's dock arrived under a UUID that stands for another plan's."""

    def __init__(self, uuid: UUID) -> None:
        self.uuid = uuid
        super().__init__(_("%(uuid)s was already used for something else") % {"uuid": uuid})


class EquipmentUnexplained(LoadingError):
    """A truck's equipment is not all there, or too much, and no movement says why."""

    def __init__(self, reference: str, missing: dict[str, int]) -> None:
        self.reference, self.missing = reference, missing
        told = ", ".join(
            (_("%(count)s %(kind)s missing") if count > 0 else _("%(count)s %(kind)s too many"))
            % {"count": abs(count), "kind": kind}
            for kind, count in missing.items()
        )
        super().__init__(
            _("%(reference)s: %(told)s; say what became of it")
            % {"reference": reference, "told": told}
        )
