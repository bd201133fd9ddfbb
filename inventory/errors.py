"""What can go wrong in the inventory, a class per kind. Each carries what a person must know."""

from dataclasses import dataclass

from django.http import Http404
from django.utils.translation import gettext as _


class InventoryError(Exception):
    """The parent of every refusal of the inventory."""


@dataclass(frozen=True, slots=True)
class ImportFault:
    """One fault of an imported file.

    `row` counts lines of a CSV from 1 (the header); for JSON it is None. `column` is the
    header's word, or a JSON pointer.
    """

    row: int | None
    column: str
    message: str

    def __str__(self) -> str:
        place = [] if self.row is None else [_("row %(row)s") % {"row": self.row}]
        if self.column:
            named = _("column %(column)s") % {"column": self.column}
            place.append(self.column if self.row is None else named)
        return f"{', '.join(place)}: {self.message}" if place else self.message


class ImportRefusedError(InventoryError):
    """The file has faults, all of which are listed; nothing was stored."""

    def __init__(self, faults: tuple[ImportFault, ...]) -> None:
        super().__init__("; ".join(str(fault) for fault in faults[:5]))
        self.faults = faults


class FileTooLargeError(InventoryError):
    """The file is larger than an inventory list can be."""

    def __init__(self, limit_bytes: int) -> None:
        super().__init__(
            _("the file is larger than %(limit_bytes)s bytes") % {"limit_bytes": limit_bytes}
        )
        self.limit_bytes = limit_bytes


class ImportedElsewhereError(InventoryError):
    """The same file has already been imported as another shipment."""

    def __init__(self, reference: str) -> None:
        super().__init__(
            _("this file was already imported as shipment %(reference)s") % {"reference": reference}
        )
        self.reference = reference


class TagTakenError(InventoryError):
    """Another piece of the branch carries that tag now."""

    def __init__(self, tag: str) -> None:
        super().__init__(_("tag %(tag)s is on another piece") % {"tag": tag})
        self.tag = tag


class TagMissingError(InventoryError):
    """The piece has no current tag that could be replaced."""

    def __init__(self, item_id: int) -> None:
        super().__init__(_("piece %(item_id)s has no tag to replace") % {"item_id": item_id})
        self.item_id = item_id


class UuidReusedError(InventoryError):
    """A write arrived under a UUID that already stands for another one."""

    def __init__(self, uuid: object) -> None:
        super().__init__(_("%(uuid)s was already used for something else") % {"uuid": uuid})
        self.uuid = str(uuid)


class ReferenceTakenError(InventoryError):
    """The reference already names something with other content."""

    def __init__(self, reference: str) -> None:
        super().__init__(_("reference %(reference)s is already used") % {"reference": reference})
        self.reference = reference


class NotOfShipmentError(InventoryError):
    """A release names pieces that are not of its shipment."""

    def __init__(self, tags: tuple[str, ...]) -> None:
        super().__init__(_("not of this shipment: %(tags)s") % {"tags": ", ".join(tags)})
        self.tags = tags


class WriteRefusedError(InventoryError):
    """A value of a write cannot be; `field` names it."""

    def __init__(self, field: str, message: str) -> None:
        super().__init__(f"{field}: {message}")
        self.field = field


class PlaceRefusedError(InventoryError):
    """A vault cannot stand at the place that was named."""

    def __init__(self, code: str, reason: str) -> None:
        super().__init__(_("vault %(code)s: %(reason)s") % {"code": code, "reason": reason})
        self.code = code
        self.reason = reason


class NothingThere(Http404):
    """What Django answers where nothing is, with a sentence for the person who asked."""


class NotPermittedError(InventoryError):
    """The person may not do this at that branch."""

    def __init__(self, action: str, branch: str) -> None:
        super().__init__(
            _("your role at branch %(branch)s does not allow this: %(action)s")
            % {"action": action, "branch": branch}
        )
        self.action = action
        self.branch = branch


class CodeUnreadableError(InventoryError):
    """What was scanned or typed is no code of a label; `fault` is "form" or "check"."""

    def __init__(self, said: str, fault: str) -> None:
        why = (
            _("its check character is wrong") if fault == "check" else _("it is empty or too long")
        )
        super().__init__(_("%(said)s cannot be read: %(why)s") % {"said": repr(said), "why": why})
        self.said = said
        self.fault = fault


class PhotoTooLargeError(InventoryError):
    """A photograph is larger than a phone's camera makes."""

    def __init__(self, limit_bytes: int) -> None:
        super().__init__(
            _("the photograph is larger than %(limit_bytes)s bytes") % {"limit_bytes": limit_bytes}
        )
        self.limit_bytes = limit_bytes


class PhotoRefusedError(InventoryError):
    """What was sent is no photograph that could be kept."""

    def __init__(self, reason: str) -> None:
        super().__init__(_("the photograph cannot be kept: %(reason)s") % {"reason": reason})
        self.reason = reason


class SignatureRefusedError(InventoryError):
    """A signature cannot be; `part` says whose, `field` what of it: name, strokes or reason."""

    def __init__(self, part: str, field: str) -> None:
        whose = {"received": _("of who received"), "handed_over": _("of who handed over")}
        what = {"name": _("the name"), "strokes": _("the drawing"), "reason": _("the reason")}
        told = _("signature %(whose)s: %(what)s is missing or wrong")
        if not part:
            told = _("signature: %(what)s is missing or wrong")
        super().__init__(told % {"whose": whose.get(part, part), "what": what.get(field, field)})
        self.part = part
        self.field = field


class PaperCorrectedMeanwhileError(InventoryError):
    """Somebody else has signed a version of the paper since the page was opened."""

    def __init__(self, former: int) -> None:
        super().__init__(
            _("version %(former)s is not the newest version of this paper") % {"former": former}
        )
        self.former = former
