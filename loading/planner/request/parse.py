"""Reading a load request: the form of every key here, contradictions in `consistency`."""

from loading.planner.errors import RequestError, said
from loading.planner.plan import LEVELS, POSTURES, read_fill, read_placement, read_step
from loading.planner.reading import LENGTH_MAX_MM, Faults, Node, described, not_among
from loading.planner.request.consistency import note_contradictions
from loading.planner.request.data import (
    Blocked,
    Dock,
    Item,
    Lane,
    LoadRequest,
    Opening,
    OtherVault,
    Progress,
    Support,
    Truck,
    Vault,
)
from loading.planner.request.document import FORM

ITEMS_MAX = 5_000
VAULTS_MAX = 5_000
LANES_MAX = 5_000
STEPS_MAX = 50_000
BOXES_MAX = 200
STACKS_MAX = 100
LOADS_MAX = 1_000
STOPS_MAX = 1_000
PAD_MAX_MM = 500
RIDES = ("spring", "air")
SIZES_FROM = ("measured", "kind")


def parse_request(document: object) -> LoadRequest:
    """The request in a parsed JSON document (contract form, kilograms and millimetres).

    Raises RequestError with every fault, each with the JSON pointer of its key. Unknown keys are
    passed over.
    """
    faults = Faults()
    root = Node.root(document, faults)
    if root.text("form") != FORM and not faults:
        root.fault(said("must be %(form)s", form=FORM), "form")
    request = LoadRequest(
        name=root.text("request"),
        truck=_read_truck(root.child("truck")),
        distance_km=root.child("trip").number("distance_km"),
        dock=_read_dock(root.child("dock")),
        lanes=_read_lanes(root.child("lanes")),
        vaults=tuple(_read_vault(node) for node in root.objects("vaults", most=VAULTS_MAX)),
        other_vaults=tuple(
            _read_other_vault(node) for node in root.objects("other_vaults", most=VAULTS_MAX)
        ),
        pull_order=_read_pull_order(root),
        pad_mm=root.whole("pad_mm", high=PAD_MAX_MM),
        items=tuple(_read_item(node) for node in root.objects("items", most=ITEMS_MAX)),
        progress=_read_progress(root),
        shifted_go_back=root.flag("shifted_go_back", default=False),
        after_loads=_read_after_loads(root),
    )
    if not faults:
        note_contradictions(request, faults)
    if faults:
        raise RequestError(faults.all())
    return request


def _read_truck(node: Node) -> Truck:
    return Truck(
        name=node.text("name"),
        interior_mm=node.three("interior_mm", low=1),
        payload_g=node.grams("payload_kg"),
        ride=node.choice("ride", RIDES),
        door_mm=node.two("door_mm", low=1),
        blocked=tuple(_read_blocked(box) for box in node.objects("blocked", most=BOXES_MAX)),
        supports=_read_supports(node),
        pads=node.whole_or_none("pads"),
    )


def _read_blocked(node: Node) -> Blocked:
    return Blocked(
        name=node.text("name"),
        at_mm=node.three("at_mm", low=-LENGTH_MAX_MM),
        size_mm=node.three("size_mm", low=1),
    )


def _read_supports(node: Node) -> tuple[Support, Support]:
    found = [_read_support(support) for support in node.objects("supports", most=BOXES_MAX)]
    if len(found) == 2:
        return found[0], found[1]
    if not node.faults:
        node.fault(
            said("must be the two supports of the box, not %(supports)s", supports=len(found)),
            "supports",
        )
    nowhere = Support("", 0, 0, 0)
    return nowhere, nowhere


def _read_support(node: Node) -> Support:
    return Support(
        name=node.text("name"),
        x_mm=node.whole("x_mm", low=-LENGTH_MAX_MM, high=LENGTH_MAX_MM),
        tare_g=node.grams("tare_kg"),
        limit_g=node.grams("limit_kg"),
    )


def _read_dock(node: Node) -> Dock:
    return Dock(vault_spots=node.whole("vault_spots"), floor_mm2=node.square_mm("floor_m2"))


def _read_lanes(node: Node) -> tuple[Lane, ...]:
    depth = node.whole("depth", low=1, high=STACKS_MAX)
    levels = node.whole("levels", low=1, high=STACKS_MAX)
    names = node.texts("names", most=LANES_MAX)
    sizes: dict[str, tuple[int, int]] = {}
    unlike = node.child_or_none("of", optional=True)
    for name in unlike.keys() if unlike else ():
        sizes[name] = unlike.two(name, low=1, high=STACKS_MAX) if unlike else (1, 1)
        if unlike and names and name not in names:
            unlike.fault(said("is no lane in names"), name)
    for n, name in enumerate(names):
        if name in names[:n]:
            node.faults.add(
                f"{node.pointer}/names/{n}", said("lane %(name)s is named twice", name=name)
            )
    return tuple(Lane(name, *sizes.get(name, (depth, levels))) for name in names)


def _read_vault(node: Node) -> Vault:
    return Vault(
        code=node.text("code"),
        lane=node.text("lane"),
        depth=node.whole("depth", low=1, high=STACKS_MAX),
        level=node.whole("level", low=1, high=STACKS_MAX),
        items=node.texts("items", most=ITEMS_MAX),
    )


def _read_other_vault(node: Node) -> OtherVault:
    return OtherVault(
        code=node.text("code"),
        lane=node.text("lane"),
        depth=node.whole("depth", low=1, high=STACKS_MAX),
        level=node.whole("level", low=1, high=STACKS_MAX),
    )


def _read_pull_order(root: Node) -> tuple[str, ...] | None:
    if isinstance(root.value, dict) and "pull_order" in root.value and not root.has("pull_order"):
        return None
    return root.texts("pull_order", most=VAULTS_MAX)


def _read_item(node: Node) -> Item:
    return Item(
        tag=node.text("tag"),
        name=node.text("name"),
        size_mm=node.three("size_mm", low=1),
        weight_g=node.grams("weight_kg"),
        postures=_read_postures(node),
        wrap=node.flag("wrap"),
        bears_g=node.grams("bears_kg"),
        level=node.choice_or_none("level", LEVELS),
        fragile=node.flag("fragile"),
        carton=node.flag("carton"),
        soft=node.flag("soft"),
        openings=tuple(_read_opening(box) for box in node.objects("openings", most=BOXES_MAX)),
        stop=node.whole("stop", low=1, high=STOPS_MAX),
        set_name=node.text_or_none("set"),
        last_on=node.flag("last_on"),
        leaves=node.flag("leaves", default=True),
        size_from=node.choice("size_from", SIZES_FROM) if node.has("size_from") else "measured",
        handling=node.text_or_none("handling", optional=True),
        pads=node.whole_or_none("pads"),
        storage_pads=node.whole_or_none("storage_pads"),
    )


def _read_after_loads(root: Node) -> tuple[str, ...]:
    return root.texts("after_loads", most=LOADS_MAX) if root.has("after_loads") else ()


def _read_postures(node: Node) -> tuple[str, ...]:
    postures = node.texts("postures", most=BOXES_MAX)
    for n, posture in enumerate(postures):
        pointer = f"{node.pointer}/postures/{n}"
        if posture and posture not in POSTURES:
            node.faults.add(pointer, not_among(POSTURES, described(posture)))
        if posture in postures[:n]:
            node.faults.add(pointer, said("%(posture)s is named twice", posture=posture))
    if isinstance(node.value, dict) and node.value.get("postures") == []:
        node.fault(
            said("must name at least one of %(among)s", among=", ".join(POSTURES)), "postures"
        )
    return postures


def _read_opening(node: Node) -> Opening:
    return Opening(at_mm=node.three("at_mm", low=0), size_mm=node.three("size_mm", low=1))


def _read_progress(root: Node) -> Progress | None:
    node = root.child_or_none("progress")
    if node is None:
        return None
    return Progress(
        steps=tuple(read_step(step, strict=True) for step in node.objects("steps", most=STEPS_MAX)),
        placements=tuple(
            read_placement(place, strict=True)
            for place in node.objects("placements", most=ITEMS_MAX)
        ),
        fills=tuple(read_fill(fill) for fill in node.objects("fills", most=STEPS_MAX)),
    )
