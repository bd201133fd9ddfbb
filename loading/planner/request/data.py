"""The load request as frozen data. What `parse_request` returns has no contradiction in it."""

from dataclasses import dataclass, field

from loading.planner.plan import Fill, Placement, Size, Step


@dataclass(frozen=True, slots=True)
class Blocked:
    """A box in the truck that is in the way; its top carries."""

    name: str
    at_mm: Size
    size_mm: Size


@dataclass(frozen=True, slots=True)
class Support:
    """A place where the chassis carries the box: with `tare_g` on it, up to `limit_g`."""

    name: str
    x_mm: int
    tare_g: int
    limit_g: int


@dataclass(frozen=True, slots=True)
class Truck:
    """`interior_mm` is length, width, height; `door_mm` the doorway's width and height."""

    name: str
    interior_mm: Size
    payload_g: int
    ride: str
    door_mm: tuple[int, int]
    blocked: tuple[Blocked, ...]
    supports: tuple[Support, Support]
    pads: int | None = None


@dataclass(frozen=True, slots=True)
class Dock:
    """Room for open vaults, and for pieces between vault and truck."""

    vault_spots: int
    floor_mm2: int


@dataclass(frozen=True, slots=True)
class Lane:
    """A row of vault stacks reached from one side: `depth` stacks, each `levels` high."""

    name: str
    depth: int
    levels: int


@dataclass(frozen=True, slots=True)
class Vault:
    """A vault of this shipment; depth 1 is nearest the aisle; `items` door side first."""

    code: str
    lane: str
    depth: int
    level: int
    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OtherVault:
    """Another customer's vault in one of the lanes."""

    code: str
    lane: str
    depth: int
    level: int


@dataclass(frozen=True, slots=True)
class Opening:
    """A free box in an item's outline as it stands, from its own corner."""

    at_mm: Size
    size_mm: Size


@dataclass(frozen=True, slots=True)
class Item:
    """A piece: `size_mm` is length, width, height as it stands, bare."""

    tag: str
    name: str
    size_mm: Size
    weight_g: int
    postures: tuple[str, ...]
    wrap: bool
    bears_g: int
    level: str | None
    fragile: bool
    carton: bool
    soft: bool
    openings: tuple[Opening, ...]
    stop: int
    set_name: str | None
    last_on: bool
    leaves: bool = True
    size_from: str = "measured"
    handling: str | None = None
    pads: int | None = None
    storage_pads: int | None = None


@dataclass(frozen=True, slots=True)
class Progress:
    """What has been done already."""

    steps: tuple[Step, ...]
    placements: tuple[Placement, ...]
    fills: tuple[Fill, ...]


@dataclass(frozen=True, slots=True)
class LoadRequest:
    """All that a plan is made from. `pad_mm` is what one layer of pad adds."""

    name: str
    truck: Truck
    distance_km: int | float
    dock: Dock
    lanes: tuple[Lane, ...]
    vaults: tuple[Vault, ...]
    other_vaults: tuple[OtherVault, ...]
    pull_order: tuple[str, ...] | None
    pad_mm: int
    items: tuple[Item, ...]
    progress: Progress | None = None
    shifted_go_back: bool = False  # vaults set aside return to their lanes; our own key
    after_loads: tuple[str, ...] = ()  # whose steps the lanes already show; our own key
    _by_tag: dict[str, Item] = field(init=False, repr=False, compare=False)
    _vault_by_tag: dict[str, str] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        vault_by_tag = {tag: vault.code for vault in self.vaults for tag in vault.items}
        object.__setattr__(self, "_by_tag", {item.tag: item for item in self.items})
        object.__setattr__(self, "_vault_by_tag", vault_by_tag)

    def item(self, tag: str) -> Item:
        """The item with that tag. Raises KeyError."""
        return self._by_tag[tag]

    def has_item(self, tag: str) -> bool:
        return tag in self._by_tag

    def vault_of(self, tag: str) -> str | None:
        """The vault it is stored in, or None for a piece that stands loose."""
        return self._vault_by_tag.get(tag)

    def as_loaded_mm(self, item: Item) -> Size:
        """Length, width, height as it stands, with the pads it travels in."""
        more = 2 * self.pad_mm if item.wrap else 0
        length, width, height = item.size_mm
        return length + more, width + more, height + more
