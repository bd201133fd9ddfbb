"""The texts of `data/may_not_ride.csv` where the finding of texts sees them.

They are shown through gettext by `inventory.may_not_ride.RidingCaution`; a test holds both alike.
"""

from typing import Final

from django.utils.translation import gettext_lazy as _

TEXTS: Final = (
    _("fireworks"),
    _("Do not load. Set it aside outdoors and call the office: the owner has to take it."),
    _("ammunition"),
    _("Do not load. Lock it away and call the office: the owner has to take it."),
    _("gas"),
    _(
        "Do not load. Stand it upright outdoors and call the office. An emptied and purged "
        "tank may ride with its certificate."
    ),
    _("fuel"),
    _("Do not load. Set it aside outdoors and call the office."),
    _("paint"),
    _("Do not load. Set it aside and call the office: the owner has to take it."),
    _("battery"),
    _("Do not load. Keep it upright and call the office."),
    _("corrosive"),
    _("Do not load. Keep it upright and away from anything else and call the office."),
    _("poison"),
    _("Do not load. Set it aside and call the office."),
    _("oxidiser"),
    _("Do not load. Keep it dry and away from anything that burns and call the office."),
    _("radioactive"),
    _("Do not load. Call the office."),
    _("matches"),
    _("Do not load. Give it back to the owner."),
    _("fuelled machine"),
    _("Load only if fuel, oil and tanks are out; look and smell before it goes on."),
    _("plant"),
    _(
        "On a long trip it does not ride. On a short one only if the owner accepts it in "
        "writing, last on and first off."
    ),
    _("food"),
    _(
        "On a long trip nothing that spoils, freezes or attracts pests rides; open packages "
        "never do."
    ),
    _("living"),
    _("Do not load. Animals travel with the owner."),
    _("firearm"),
    _(
        "Not without the office: unloaded, apart from ammunition, on the high-value list with"
        " its serial number."
    ),
    _("high value"),
    _("Not without the office: it goes on the high-value list and is signed apart at both ends."),
)
