"""The picture of orders compared: where each disc is, how large, and what it says in words."""

from xml.etree import ElementTree

from loading.pictures import TradePoint, trade_svg

NS = "{http://www.w3.org/2000/svg}"


def point(**changed: object) -> TradePoint:
    told = {
        "moves": 2,
        "space_use": 0.6,
        "floor_peak_mm2": 10_000_000,
        "in_front": False,
        "is_planned": False,
    }
    return TradePoint(**(told | changed))  # type: ignore[arg-type]


def discs(*points: TradePoint) -> list[dict[str, float]]:
    """The outer circle of each order."""
    drawn = ElementTree.fromstring(trade_svg(points))
    groups = [one for one in drawn.iter(f"{NS}g") if one.get("class") == "order"]
    first = [one.find(f"{NS}circle") for one in groups]
    return [
        {name: float(one.attrib[name]) for name in ("cx", "cy", "r", "stroke-width")}
        for one in first
        if one is not None
    ]


def test_more_space_use_is_higher_and_more_shifted_is_further_to_the_right() -> None:
    better, worse = discs(point(space_use=0.7), point(moves=4))
    assert better["cy"] < worse["cy"]
    assert better["cx"] < worse["cx"]


def test_a_disc_is_as_large_as_the_floor_that_is_taken() -> None:
    small, large = discs(point(floor_peak_mm2=5_000_000), point(moves=3))
    assert abs((large["r"] / small["r"]) ** 2 - 2) < 0.05


def test_orders_that_are_alike_stand_beside_each_other() -> None:
    one, other, third = discs(point(), point(), point())
    assert one["cx"] + one["r"] <= other["cx"] - other["r"]
    assert other["cx"] + other["r"] <= third["cx"] - third["r"]
    assert one["cy"] == other["cy"] == third["cy"]


def test_what_to_choose_from_and_the_plan_itself_are_told_by_their_edges() -> None:
    plain, chosen = discs(point(), point(in_front=True))
    assert chosen["stroke-width"] > plain["stroke-width"]
    assert trade_svg([point(is_planned=True)]).count("<circle") == 2


def test_all_is_said_in_words_too() -> None:
    told = ElementTree.fromstring(trade_svg([point(), point(moves=5, space_use=0.655)])).find(
        f"{NS}desc"
    )
    assert told is not None
    assert told.text is not None
    assert "B: space use 65.5 %, 5 vaults shifted" in told.text
