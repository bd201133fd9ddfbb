"""What people send from the pages."""

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.folding.reading import COUNT_MAX, NOTE_MAX
from jobs.models import CrewMember
from jobs.services.reports import PROBLEMS


class ReportForm(forms.Form):
    """One button of a task: done, begun, or a problem."""

    said = forms.ChoiceField(choices=[(said, said) for said in ("done", "begun", *PROBLEMS)])
    uuid = forms.UUIDField(widget=forms.HiddenInput)
    storage_pads_off = forms.IntegerField(
        label=_("Storage pads taken off"), min_value=0, max_value=COUNT_MAX, required=False
    )
    moving_pads_on = forms.IntegerField(
        label=_("Moving pads put on"), min_value=0, max_value=COUNT_MAX, required=False
    )
    pads = forms.IntegerField(
        label=_("Pads rolled"), min_value=0, max_value=COUNT_MAX, required=False
    )
    note = forms.CharField(label=_("What is wrong"), max_length=NOTE_MAX, required=False)

    def counts(self) -> dict[str, int]:
        names = ("storage_pads_off", "moving_pads_on", "pads")
        return {name: self.cleaned_data[name] or 0 for name in names}


class CrewForm(forms.Form):
    """Who works on a job, as what."""

    username = forms.CharField(label=_("Sign-in name"), max_length=150)
    part = forms.ChoiceField(label=_("As"), choices=CrewMember.Part.choices)


class PlanForm(forms.Form):
    """How long to plan; the UUID was made with the page, so pressing twice plans once."""

    uuid = forms.UUIDField(widget=forms.HiddenInput)
    budget_s = forms.IntegerField(label=_("Seconds to plan"), min_value=1, max_value=600)


class UndoForm(forms.Form):
    """Taking back a report."""

    uuid = forms.UUIDField(widget=forms.HiddenInput)
