"""What people send from the pages."""

import json
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, cast

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.models import CrewMember
from jobs.selectors.boards.sheet import LINES_MOST

LENGTH_MAX_MM = 100_000
OFFSET_MAX_MS = 10 * 365 * 24 * 3600 * 1000


class VersionsForm(forms.Form):
    """Which two versions of a plan are compared."""

    former = forms.IntegerField(min_value=1, max_value=32_767)
    version = forms.IntegerField(min_value=1, max_value=32_767)


class TellForm(forms.Form):
    """The events of one button come beside it; this is what makes pressing twice count once."""

    uuid = forms.UUIDField(widget=forms.HiddenInput)


class BatchForm(forms.Form):
    """An outbox's batch: the events as they are (each is judged alone), whose, by which clock."""

    who = forms.IntegerField(min_value=1)
    clock_offset_ms = forms.IntegerField(min_value=-OFFSET_MAX_MS, max_value=OFFSET_MAX_MS)
    events = forms.JSONField(required=False)

    @classmethod
    def read(cls, body: bytes) -> "BatchForm | None":
        """The form filled from a JSON body, or None if that is no object."""
        try:
            told = json.loads(body)
        except ValueError:
            return None
        return cls(told | {"events": json.dumps(told.get("events"))}) if _is_object(told) else None

    def clean_events(self) -> list[object]:
        events = self.cleaned_data["events"]
        if not isinstance(events, list):
            raise forms.ValidationError("must be a list")
        return events


def _is_object(told: object) -> bool:
    return isinstance(told, dict)


class CrewForm(forms.Form):
    """Who works on a job, as what."""

    username = forms.CharField(label=_("Sign-in name"), max_length=150)
    part = forms.ChoiceField(label=_("As"), choices=CrewMember.Part.choices)


class PlanForm(forms.Form):
    """How long to plan; the UUID was made with the page, so pressing twice plans once."""

    uuid = forms.UUIDField(widget=forms.HiddenInput)
    budget_s = forms.IntegerField(label=_("Seconds to plan"), min_value=1, max_value=600)


class OrderForm(forms.Form):
    """An order of the pulls, a field `order` for each vault; or `free`: the planner chooses."""

    uuid = forms.UUIDField(widget=forms.HiddenInput)
    order = forms.Field(required=False, widget=forms.MultipleHiddenInput)
    free = forms.BooleanField(required=False)

    def clean(self) -> None:
        codes = self.cleaned_data.get("order") or []
        if bool(codes) == self.cleaned_data.get("free"):
            raise forms.ValidationError(_("Name the vaults in their order, or leave it free."))
        self.cleaned_data["codes"] = codes or None


class PointForm(forms.Form):
    """A point of a tier's picture, in millimetres from the left wall and above the deck."""

    tier = forms.IntegerField(min_value=1, max_value=1_000)
    y = forms.IntegerField(min_value=0, max_value=LENGTH_MAX_MM)
    z = forms.IntegerField(min_value=0, max_value=LENGTH_MAX_MM)


if TYPE_CHECKING:
    _Lines = forms.BaseFormSet["SheetLineForm"]
else:
    _Lines = forms.BaseFormSet


class SheetLineForm(forms.Form):
    """A line of a printed sheet. Its UUID was made with the page: sent twice, it counts once."""

    task = forms.UUIDField()
    uuid = forms.UUIDField()
    done = forms.BooleanField(required=False)
    at = forms.TimeField(required=False)
    pads = forms.IntegerField(required=False, min_value=0, max_value=999)


class BaseSheetFormSet(_Lines):
    """The lines in their order. A ticked one without a time has that of the ticked one above."""

    def clean(self) -> None:
        above = None
        for form in self.forms:
            if form.errors or not form.cleaned_data.get("done"):
                continue
            above = form.cleaned_data["at"] = form.cleaned_data["at"] or above
            if above is None:
                form.add_error("at", _("The first line that is ticked needs a time."))

    def ticked(self) -> list[SheetLineForm]:
        return [form for form in self.forms if form.cleaned_data.get("done")]


_SheetFormSet = forms.formset_factory(
    SheetLineForm, formset=BaseSheetFormSet, extra=0, max_num=LINES_MOST, absolute_max=LINES_MOST
)


def sheet_lines(sent: Mapping[str, Any]) -> BaseSheetFormSet:
    """The lines of a sheet that was sent."""
    return cast(BaseSheetFormSet, _SheetFormSet(sent, prefix="line"))


class SheetForm(forms.Form):
    """On which day the work on a sheet was done, by the branch's clocks."""

    # Browsers want ISO 8601 whatever the language.
    day = forms.DateField(
        label=_("Day"), widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
