from loading.models.choices import TruckChoice
from loading.models.equipment import EquipmentCount, EquipmentMovement
from loading.models.loads import Load
from loading.models.places import Dock, Truck
from loading.models.plans import LoadPlan, PlanRun
from loading.models.studies import DockStudy
from loading.models.tickets import ScaleTicket

__all__ = [
    "Dock",
    "DockStudy",
    "EquipmentCount",
    "EquipmentMovement",
    "Load",
    "LoadPlan",
    "PlanRun",
    "ScaleTicket",
    "Truck",
    "TruckChoice",
]
