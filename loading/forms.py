"""What people send from the pages of loading."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.models import Branch
from loading.ledger import Account, Equipment, PlaceKind
from loading.measures import IMPERIAL
from loading.models import Dock, Load, Truck
from loading.road.pounds import grams

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
KM_PER_MILE = 1.609344  # exact, international yard and pound agreement of 1959
WEIGHT_MAX = 200_000  # pounds or kilograms; no scale of a road takes more


def account_words(account: Account) -> str:
    """The place, and which of several: "truck: Truck 7"."""
    words = str(PLACE_WORDS[account.kind])
    return f"{words}: {account.key}" if account.key else words


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


class TicketForm(forms.Form):
    """A weight ticket as far as it is filled in; weights in the reader's units."""

    ticket_id = forms.UUIDField(widget=forms.HiddenInput)
    scale_name = forms.CharField(label=_("Name of the scale"), max_length=80, required=False)
    scale_place = forms.CharField(label=_("Place of the scale"), max_length=120, required=False)
    weighed_on = forms.DateField(
        label=_("Weighed on"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    gross = forms.FloatField(min_value=0, max_value=WEIGHT_MAX, required=False)
    tare = forms.FloatField(min_value=0, max_value=WEIGHT_MAX, required=False)
    net = forms.FloatField(min_value=0, max_value=WEIGHT_MAX, required=False)
    vehicle = forms.CharField(label=_("Vehicle"), max_length=60, required=False)
    shipper = forms.CharField(label=_("Shipper"), max_length=100, required=False)
    shipment = forms.CharField(label=_("Number of the shipment"), max_length=60, required=False)
    pads_after_tare = forms.IntegerField(
        label=_("Pads that came aboard between the weighings"),
        min_value=0,
        max_value=COUNT_MAX,
        initial=0,
    )
    other_after_tare = forms.FloatField(
        min_value=-WEIGHT_MAX, max_value=WEIGHT_MAX, initial=0, required=False
    )
    explanation = forms.CharField(
        label=_("What explains the rest of a difference"), max_length=300, required=False
    )

    def __init__(self, *args: Any, units: str, **given: Any) -> None:
        super().__init__(*args, **given)
        self.in_pounds = units == IMPERIAL
        unit = _("lb") if self.in_pounds else _("kg")
        for name, words in (
            ("gross", _("Gross, %(unit)s")),
            ("tare", _("Tare, %(unit)s")),
            ("net", _("Net, %(unit)s")),
            ("other_after_tare", _("What else came aboard between them (fuel, people), %(unit)s")),
        ):
            self.fields[name].label = words % {"unit": unit}

    def told(self) -> dict[str, Any]:
        """The arguments of `scale_ticket_record`."""
        said = dict(self.cleaned_data)
        for name in ("gross", "tare", "net", "other_after_tare"):
            said[f"{name}_g"] = self._grams(said.pop(name))
        said["other_after_tare_g"] = said["other_after_tare_g"] or 0
        return said

    def _grams(self, weight: float | None) -> int | None:
        if weight is None:
            return None
        return round(float(grams(1)) * weight) if self.in_pounds else round(1000 * weight)


class VaultWeightForm(forms.Form):
    """A vault on the scale; weights in the reader's units."""

    vault = forms.CharField(label=_("Vault"), max_length=20)
    gross = forms.FloatField(min_value=0, max_value=WEIGHT_MAX)
    container = forms.FloatField(min_value=0, max_value=WEIGHT_MAX)
    blocking = forms.FloatField(min_value=0, max_value=WEIGHT_MAX, initial=0)

    def __init__(self, *args: Any, units: str, **given: Any) -> None:
        super().__init__(*args, **given)
        self.in_pounds = units == IMPERIAL
        unit = _("lb") if self.in_pounds else _("kg")
        for name, words in (
            ("gross", _("Gross, %(unit)s")),
            ("container", _("Empty vault, %(unit)s")),
            ("blocking", _("Blocking in it, %(unit)s")),
        ):
            self.fields[name].label = words % {"unit": unit}

    def told(self) -> dict[str, Any]:
        """The arguments of `vault_weighed`."""
        said = self.cleaned_data
        each = float(grams(1)) if self.in_pounds else 1000
        weights = {f"{n}_g": round(each * said[n]) for n in ("gross", "container", "blocking")}
        return {"vault": said["vault"].strip(), **weights}


class FleetForm(forms.Form):
    """The trucks to choose from for a release, and the way to go."""

    choice_id = forms.UUIDField(widget=forms.HiddenInput)
    trucks = forms.ModelMultipleChoiceField(
        label=_("Trucks to choose from"),
        queryset=Truck.objects.none(),
        widget=forms.CheckboxSelectMultiple,
    )
    dock = forms.ModelChoiceField(label=_("Dock"), queryset=Dock.objects.none())
    distance = forms.FloatField(min_value=0, max_value=10_000)
    budget_s = forms.FloatField(
        label=_("Seconds of planning for each truck"), min_value=1, max_value=120, initial=10
    )

    def __init__(self, *args: Any, branch: Branch, units: str, **given: Any) -> None:
        super().__init__(*args, **given)
        self.in_miles = units == IMPERIAL
        trucks, docks = Truck.objects.filter(branch=branch), Dock.objects.filter(branch=branch)
        self.fields["trucks"].queryset = trucks  # type: ignore[attr-defined]
        self.fields["trucks"].initial = trucks
        self.fields["dock"].queryset = docks  # type: ignore[attr-defined]
        self.fields["distance"].label = (
            _("Way to go, in miles") if self.in_miles else _("Way to go, in kilometres")
        )

    def told(self) -> dict[str, Any]:
        """The arguments of `truck_choice_create`."""
        said = dict(self.cleaned_data)
        way = said.pop("distance")
        return {
            **said,
            "trucks": list(said["trucks"]),
            "distance_km": way * KM_PER_MILE if self.in_miles else way,
        }


class StudyForm(forms.Form):
    """Asks what other orders and docks would give a plan; the page makes the key."""

    study_id = forms.UUIDField(widget=forms.HiddenInput)


class MoveForm(forms.Form):
    """So much of one kind from one place of a branch to another."""

    uuid = forms.UUIDField(widget=forms.HiddenInput)
    equipment = forms.ChoiceField(label=_("What"), choices=_KINDS)
    count = forms.IntegerField(label=_("How many"), min_value=1, max_value=COUNT_MAX)
    source = forms.ChoiceField(label=_("From"))
    target = forms.ChoiceField(label=_("To"))
    reason = forms.CharField(
        label=_("Why (wet, soiled, torn, lost …)"), max_length=200, required=False
    )

    def __init__(self, *args: Any, places: Sequence[Account], **given: Any) -> None:
        super().__init__(*args, **given)
        self._places = {f"{place.kind.value}:{place.key}": place for place in places}
        choices = [(key, account_words(place)) for key, place in self._places.items()]
        for name in ("source", "target"):
            self.fields[name].choices = choices  # type: ignore[attr-defined]

    def told(self) -> dict[str, Any]:
        """The arguments of `equipment_move`."""
        said = self.cleaned_data
        return {
            "movement_id": said["uuid"],
            "equipment": Equipment(said["equipment"]),
            "source": self._places[said["source"]],
            "target": self._places[said["target"]],
            "count": said["count"],
            "reason": said["reason"],
        }
