"""The forms of the office's pages."""

import base64
from typing import Any
from uuid import uuid4

from django import forms
from django.core import signing
from django.utils.translation import gettext_lazy as _

from inventory.labels.sheets import STOCKS
from inventory.models import Hold, Item, Moment, Shipment, User
from inventory.models.people import LANGUAGES

HELD_SALT = "inventory.import"
HELD_FOR_S = 3600


class HeldField(forms.CharField):
    """A file that the page holds since it was looked at, signed by us."""

    widget = forms.HiddenInput

    def clean(self, value: Any) -> dict[str, Any] | None:
        said = super().clean(value)
        if not said:
            return None
        try:
            held: dict[str, Any] = signing.loads(said, salt=HELD_SALT, max_age=HELD_FOR_S)
        except signing.BadSignature as error:
            raise forms.ValidationError(_("Please choose the file again.")) from error
        return held


class ImportForm(forms.Form):
    """A list to import and what goes with it."""

    file = forms.FileField(
        label=_("List (CSV, or a load request as JSON)"), allow_empty_file=True, required=False
    )
    held = HeldField(required=False)
    shipment = forms.CharField(label=_("Our reference of the shipment"), max_length=40)
    lot = forms.CharField(label=_("Lot number on its tags"), max_length=40, required=False)
    color = forms.CharField(label=_("Label colour, a word"), max_length=20, required=False)

    def clean(self) -> dict[str, Any]:
        told: dict[str, Any] = super().clean() or {}
        if not told.get("file") and not told.get("held") and "held" not in self.errors:
            self.add_error("file", _("Please choose a file."))
        return told

    def data_bytes(self, limit: int) -> bytes:
        """Give the file's content: what was uploaded, else what the page held."""
        if self.cleaned_data["file"]:
            return bytes(self.cleaned_data["file"].read(limit + 1))
        return base64.b64decode(self.cleaned_data["held"]["data"])

    def holding(self, data: bytes) -> str:
        """Give the value by which the page holds the file."""
        file, held = self.cleaned_data["file"], self.cleaned_data["held"]
        name = file.name if file else held["name"]
        content = {"name": name, "data": base64.b64encode(data).decode("ascii")}
        return signing.dumps(content, salt=HELD_SALT, compress=True)


class KindForm(forms.Form):
    """The kind that a piece is, by its code."""

    kind = forms.SlugField(label=_("Kind"), max_length=60)


def tag_numbers(said: str) -> list[str]:
    """Give tag numbers that somebody typed with spaces or commas, as tags write them."""
    return [number.zfill(3) for number in said.replace(",", " ").split()]


class TagsForm(forms.Form):
    """Some pieces of a shipment, named by the numbers on their tags in the field `tags`."""

    def pieces(self, shipment: Shipment) -> list[Item]:
        """Give the pieces that are named; a number that no piece has is a fault of the form."""
        numbers = set(tag_numbers(self.cleaned_data["tags"]))
        items = shipment.items.select_related("shipment").prefetch_related("tags")
        found = [item for item in items if item.tag in numbers]
        if strange := sorted(numbers - {item.tag for item in found}):
            said = _("This shipment has no such tags: %(tags)s") % {"tags": ", ".join(strange)}
            self.add_error("tags", said)
        return found


class StopForm(TagsForm):
    """Pieces that are delivered at another stop than the list says."""

    stop = forms.IntegerField(label=_("Stop (1 is delivered first)"), min_value=1, max_value=99)
    tags = forms.CharField(
        label=_("Tag numbers"), max_length=4000, widget=forms.Textarea(attrs={"rows": 2})
    )


class ReleaseForm(TagsForm):
    """What leaves and who may receive it. The UUID was made with the page."""

    uuid = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)
    reference = forms.CharField(label=_("Reference of the release"), max_length=40)
    receiver_name = forms.CharField(label=_("Who may receive it"), max_length=100)
    tags = forms.CharField(
        label=_("Only these tag numbers (none: everything)"),
        max_length=4000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )


class HoldForm(forms.Form):
    """Why nothing of a shipment may leave."""

    uuid = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)
    kind = forms.ChoiceField(label=_("Kind of hold"), choices=Hold.Kind.choices)
    reason = forms.CharField(label=_("Reason"), max_length=200, required=False)


class LabelsForm(forms.Form):
    """What labels are printed on, and how many places of the first sheet are used."""

    stock = forms.ChoiceField(
        label=_("Labels"),
        choices=[
            ("letter", _("letter sheet, 2 \u00d7 5")),
            ("a4", _("A4 sheet, 2 \u00d7 6")),
            ("4x2in", _("label printer, 4 \u00d7 2 in")),
            ("100x50mm", _("label printer, 100 \u00d7 50 mm")),
        ],
    )
    skip = forms.IntegerField(
        label=_("Places already used"),
        min_value=0,
        max_value=max(stock.count for stock in STOCKS.values()) - 1,
        initial=0,
        required=False,
    )


class PreferencesForm(forms.ModelForm):
    """In which language and units a person reads."""

    class Meta:
        model = User
        fields = ("language", "units")
        labels = {"language": _("Language"), "units": _("Units")}
        widgets = {"language": forms.Select(choices=LANGUAGES)}


class ConditionForm(forms.Form):
    """What somebody sees of a piece, in marks or words, a photograph, or both."""

    note_id = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)
    photo_id = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)
    moment = forms.ChoiceField(label=_("When"), choices=Moment.choices)
    note = forms.CharField(
        label=_("Condition, in marks (SC 4-8, D 2) or words"), max_length=300, required=False
    )
    photo = forms.FileField(label=_("Photograph"), required=False)

    def clean(self) -> dict[str, Any]:
        told: dict[str, Any] = super().clean() or {}
        if not told.get("note") and not told.get("photo"):
            self.add_error("note", _("Say what you see, or choose a photograph."))
        return told
