"""The forms of the inventory's pages."""

from django import forms
from django.utils.translation import gettext_lazy as _


class ImportForm(forms.Form):
    """A list to import and what goes with it."""

    file = forms.FileField(label=_("List (CSV, or a load request as JSON)"), allow_empty_file=True)
    shipment = forms.CharField(label=_("Our reference of the shipment"), max_length=40)
    lot = forms.CharField(label=_("Lot number on its tags"), max_length=40, required=False)
    color = forms.CharField(label=_("Label colour, a word"), max_length=20, required=False)


class KindForm(forms.Form):
    """The kind that a piece is, by its code."""

    kind = forms.SlugField(label=_("Kind"), max_length=60)
