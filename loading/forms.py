"""What people send from the pages of loading."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from loading.ledger import Account, Equipment, PlaceKind
from loading.models import Load

EQUIPMENT_WORDS = {
    Equipment.PAD: _("pads"),
    Equipment.STRAP: _("straps"),
    Equipment.LOAD_BAR: _("load bars"),
    Equipment.DOLLY: _("dollies"),
    Equipment.APPLIANCE_TRUCK: _("appliance trucks"),
    Equipment.PIANO_BOARD: _("piano boards"),
    Equipment.COVER: _("covers"),
}
PLACE_WORDS = {
    PlaceKind.OUTSIDE: _("outside (bought, found)"),
    PlaceKind.WAREHOUSE: _("warehouse"),
    PlaceKind.STORAGE: _("on goods in storage"),
    PlaceKind.TRUCK: _("truck"),
    PlaceKind.JOB: _("on a load's goods"),
    PlaceKind.WASH: _("wash"),
    PlaceKind.LOST: _("lost or torn"),
}
COUNT_MAX = 100_000
_KINDS = [(kind.value, words) for kind, words in EQUIPMENT_WORDS.items()]


class CountForm(forms.Form):
    """What somebody counted in a truck."""

    uuid = forms.UUIDField(widget=forms.HiddenInput)
    equipment = forms.ChoiceField(label=_("What"), choices=_KINDS)
    count = forms.IntegerField(label=_("How many, on board and on the goods"), min_value=0)

    def told(self) -> dict[str, Any]:
        """The arguments of `equipment_count_record`."""
        said = self.cleaned_data
        return {
            "count_id": said["uuid"],
            "equipment": Equipment(said["equipment"]),
            "count": said["count"],
        }


class ExplainForm(forms.Form):
    """Where some of a truck's equipment went or came from, and why."""

    uuid = forms.UUIDField(widget=forms.HiddenInput)
    equipment = forms.ChoiceField(label=_("What"), choices=_KINDS)
    count = forms.IntegerField(label=_("How many"), min_value=1, max_value=COUNT_MAX)
    way = forms.ChoiceField(
        label=_("Which way"),
        choices=(
            ("job-truck", _("off the goods, back onto the truck")),
            ("truck-job", _("from the truck onto the goods")),
            ("truck-warehouse", _("from the truck home to the warehouse")),
            ("truck-wash", _("from the truck to the wash: wet, soiled or torn")),
            ("truck-lost", _("from the truck: lost, or torn for good")),
            ("job-lost", _("off the goods: lost, or left at the house")),
            ("warehouse-truck", _("from the warehouse onto the truck")),
            ("outside-truck", _("onto the truck from elsewhere: bought or found")),
        ),
    )
    reason = forms.CharField(label=_("Why"), max_length=200, required=False)

    def told(self, load: Load) -> dict[str, Any]:
        """The arguments of `equipment_move` for the truck of a load."""
        said = self.cleaned_data
        source, target = (_account(name, load) for name in said["way"].split("-"))
        return {
            "movement_id": said["uuid"],
            "equipment": Equipment(said["equipment"]),
            "source": source,
            "target": target,
            "count": said["count"],
            "reason": said["reason"],
        }


def _account(name: str, load: Load) -> Account:
    keys = {"truck": load.truck.name, "job": load.reference}
    return Account(PlaceKind(name), keys.get(name, ""))
