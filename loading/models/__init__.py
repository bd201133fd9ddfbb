from loading.models.loads import Load
from loading.models.places import Dock, Truck
from loading.models.plans import LoadPlan, PlanRun

__all__ = ["Dock", "Load", "LoadPlan", "PlanRun", "Truck"]
