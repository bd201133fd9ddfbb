"""Yards written as text: lane by lane, the far end first, `.` a slot that was skipped."""

from loading.planner.pulls import StandingVault, Yard, YardLane


def yard(*lanes: tuple[str, int, int, str]) -> Yard:
    """Lanes as (name, depth, levels, vaults); codes that begin with V are the shipment's."""
    built = tuple(
        YardLane(
            name,
            depth,
            levels,
            tuple(
                StandingVault(code, slot)
                for slot, code in enumerate(vaults.split(), 1)
                if code != "."
            ),
        )
        for name, depth, levels, vaults in lanes
    )
    own = sorted(v.code for lane in built for v in lane.vaults if v.code.startswith("V"))
    return Yard(built, tuple(own))
