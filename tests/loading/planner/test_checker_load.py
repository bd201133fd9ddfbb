"""R11 to R14 and the figures: stops, weight, tightness. Each test breaks one rule."""

import pytest

from tests.loading.planner.scene import Scene, full_wall


class TestStops:
    def test_a_later_stop_before_an_earlier_one(self) -> None:
        scene = full_wall()
        scene.item("005")["stop"] = 2
        assert scene.broken() == {"R11"}
        for tag in ("001", "002", "003", "004"):
            scene.item(tag)["stop"] = 3
        assert scene.broken() == set()

    def test_a_later_stop_on_an_earlier_one(self) -> None:
        scene = full_wall()
        scene.item("003")["stop"] = 2
        assert scene.broken() == {"R11"}

    def test_or_on_it_through_a_fill(self) -> None:
        scene = Scene().piece("001", (0, 0, 0), (500, 1000, 400))
        scene.fill(1, (0, 0, 400), (500, 1000, 100))
        scene.piece("002", (0, 0, 500), (500, 1000, 400), stop=2).close()
        assert scene.broken() == {"R11"}

    @pytest.mark.parametrize(("z", "broken"), [(499, set()), (498, {"R11"})])
    def test_the_way_out_is_as_high_as_the_piece(self, z: int, broken: set[str]) -> None:
        """A later box before it, on a blocked box of that height; a rail holds it."""
        scene = Scene().piece("001", (0, 0, 0), (500, 1000, 500))
        scene.piece("002", (500, 0, z), (500, 1000, 300), stop=2).close()
        box = {"name": "step", "at_mm": [500, 0, 0], "size_mm": [500, 1000, z]}
        rail = {"name": "rail", "at_mm": [490, 0, 700], "size_mm": [10, 1000, 50]}
        scene.request["truck"]["blocked"] = [box, rail]
        assert scene.broken() == broken


class TestLastOn:
    def test_something_before_it(self) -> None:
        scene = full_wall()
        scene.item("005")["last_on"] = True
        assert scene.broken() == set()
        scene.item("003")["last_on"] = True
        assert scene.broken() == set()
        scene.item("005")["last_on"] = False
        assert scene.broken() == {"R13"}

    def test_something_on_it(self) -> None:
        scene = Scene().piece("001", (0, 0, 0), (500, 1000, 400), last_on=True)
        scene.piece("002", (0, 0, 400), (500, 1000, 400)).close()
        assert scene.broken() == {"R13"}
        scene.item("002")["last_on"] = True
        assert scene.broken() == set()

    def test_another_stop_is_no_matter(self) -> None:
        scene = Scene().piece("001", (0, 0, 0), (500, 1000, 400), last_on=True, stop=2)
        scene.piece("002", (0, 0, 400), (500, 1000, 400)).close()
        assert scene.broken() == set()


def one_box(weight_kg: float, *, at_mm: tuple[int, int, int] = (0, 0, 0)) -> Scene:
    return Scene().piece("001", at_mm, (1000, 1000, 500), weight_kg=weight_kg).close()


class TestWeight:
    @pytest.mark.parametrize(
        ("weight_kg", "broken"), [(500, set()), (500.05, set()), (500.051, {"R12"})]
    )
    def test_the_payload(self, weight_kg: float, broken: set[str]) -> None:
        scene = one_box(weight_kg)
        scene.request["truck"]["payload_kg"] = 500
        assert scene.broken() == broken

    @pytest.mark.parametrize(("weight_kg", "broken"), [(801, set()), (801.1, {"R12"})])
    def test_a_support(self, weight_kg: float, broken: set[str]) -> None:
        """Its middle is 500 mm behind the nose, so half its weight rests on each axle."""
        scene = one_box(weight_kg)
        scene.request["truck"]["supports"][0]["limit_kg"] = 2400
        assert scene.broken() == broken

    @pytest.mark.parametrize(("weight_kg", "broken"), [(1005, set()), (1005.1, {"R12"})])
    def test_a_support_that_is_lifted(self, weight_kg: float, broken: set[str]) -> None:
        """Axles at -1000 and 250 mm: the middle at 500 mm takes a fifth off the front one."""
        scene = one_box(weight_kg)
        supports = scene.request["truck"]["supports"]
        supports[0]["tare_kg"], supports[1]["x_mm"] = 200.5, 250
        assert scene.broken() == broken

    @pytest.mark.parametrize(("side_kg", "broken"), [(60, set()), (60.1, {"R12"})])
    def test_the_middle(self, side_kg: float, broken: set[str]) -> None:
        """5 % of 1000 mm is 50 mm: 60 and 40 kg, their middles 250 mm off it."""
        scene = Scene().piece("001", (0, 0, 0), (400, 500, 400), weight_kg=side_kg)
        scene.piece("002", (0, 500, 0), (400, 500, 400), weight_kg=100 - side_kg).close()
        scene.request["truck"]["payload_kg"] = 399.9
        assert scene.broken() == broken
        scene.request["truck"]["payload_kg"] = 400  # no more than a quarter of it
        assert scene.broken() == set()


class TestTightness:
    @pytest.mark.parametrize(("gap", "broken"), [(150, set()), (151, {"R14"})])
    def test_side_travel(self, gap: int, broken: set[str]) -> None:
        scene = Scene().piece("001", (0, gap // 2, 0), (500, 1000 - gap, 400)).close()
        report = scene.report()
        assert {fault.rule for fault in report.broken} == broken
        assert report.figures["side_travel"] == [gap, gap]

    @pytest.mark.parametrize(("gap", "broken"), [(150, set()), (151, {"R14"})])
    def test_nose_travel(self, gap: int, broken: set[str]) -> None:
        scene = Scene().piece("001", (gap, 0, 0), (500, 1000, 400)).close()
        report = scene.report()
        assert {fault.rule for fault in report.broken} == broken
        assert report.figures["nose_travel"] == [gap, gap]

    def test_gaps_add_up_for_what_lies_behind(self) -> None:
        scene = Scene().piece("001", (100, 0, 0), (500, 1000, 400))
        scene.piece("002", (651, 0, 0), (500, 1000, 400)).close()
        assert scene.broken() == {"R14"}
        scene.place("002")["at_mm"] = [650, 0, 0]
        assert scene.broken() == set()

    def test_nothing_stops_a_piece_toward_the_doors(self) -> None:
        assert one_box(10).report().figures["nose_travel"] == [0, 0]

    @pytest.mark.parametrize(("height", "broken"), [(40, set()), (39, {"R14"})])
    def test_a_tenth_of_the_face_stops(self, height: int, broken: set[str]) -> None:
        """A box 400 mm high with something low before it."""
        scene = Scene().piece("001", (0, 0, 0), (200, 1000, height))
        scene.piece("002", (200, 0, 0), (500, 1000, 400)).close()
        assert scene.broken() == broken

    def test_what_it_meets_adds_up(self) -> None:
        scene = Scene().piece("001", (0, 0, 0), (200, 500, 50))
        scene.piece("002", (0, 500, 0), (200, 500, 50))
        scene.piece("003", (200, 0, 0), (500, 1000, 500)).close()
        assert scene.broken() == set()
        for tag in ("001", "002"):
            scene.item(tag)["size_mm"] = scene.place(tag)["size_mm"] = [200, 500, 49]
        assert scene.broken() == {"R14"}

    def test_a_blocked_box_stops(self) -> None:
        scene = one_box(10, at_mm=(800, 0, 0))
        box = {"name": "step", "at_mm": [600, 0, 0], "size_mm": [200, 1000, 100]}
        assert scene.broken() == {"R14"}
        scene.request["truck"]["blocked"] = [box]
        assert scene.broken() == set()

    def test_a_guest_is_not_pushed(self) -> None:
        opening = {"at_mm": [0, 0, 0], "size_mm": [900, 1000, 400]}
        scene = Scene().piece("001", (0, 0, 0), (900, 1000, 500), openings=[opening])
        scene.piece("002", (600, 300, 0), (300, 300, 400), inside="001").close()
        assert scene.broken() == set()


class TestFills:
    def beside_a_box(self, width: int, *, pads: int | None = None) -> Scene:
        scene = Scene().piece("001", (0, 0, 0), (500, 1000 - width, 400))
        return scene.fill(1, (0, 1000 - width, 0), (500, width, 400), pads=pads).close()

    @pytest.mark.parametrize(("width", "broken"), [(300, set()), (301, {"R14"})])
    def test_a_roll_is_no_strut_beyond_300_mm(self, width: int, broken: set[str]) -> None:
        assert self.beside_a_box(width).broken() == broken

    @pytest.mark.parametrize(("width", "broken"), [(20, set()), (19, {"R14"})])
    def test_thinnest(self, width: int, broken: set[str]) -> None:
        assert self.beside_a_box(width).broken() == broken

    @pytest.mark.parametrize(
        ("size_mm", "broken"),
        [
            ((300, 1000, 300), set()),
            ((301, 1000, 301), {"R14"}),
            ((99, 1000, 300), set()),
            ((99, 1000, 1000), set()),
        ],
    )
    def test_thickest(self, size_mm: tuple[int, int, int], broken: set[str]) -> None:
        scene = full_wall()
        scene.steps.pop()
        scene.fill(1, (900, 0, 0), size_mm, tier=2).close()
        assert scene.broken() == broken

    @pytest.mark.parametrize(
        ("length", "thick", "broken"),
        [(1000, 99, set()), (1001, 99, {"R14"}), (1001, 100, set())],
    )
    def test_a_long_roll_is_thick(self, length: int, thick: int, broken: set[str]) -> None:
        scene = Scene().piece("001", (0, 0, 0), (length, 1000 - thick, 400))
        scene.fill(1, (0, 1000 - thick, 0), (length, thick, 400)).close()
        assert scene.broken() == broken

    @pytest.mark.parametrize(("pads", "broken"), [(2, set()), (1, {"R14"}), (0, {"R14"})])
    def test_a_pad_for_each_0_03_m3(self, pads: int, broken: set[str]) -> None:
        """500 x 300 x 400 mm is exactly .06 m3."""
        assert self.beside_a_box(300, pads=pads).broken() == broken

    def test_a_roll_needs_a_pad(self) -> None:
        assert self.beside_a_box(20, pads=0).broken() == {"R14"}

    @pytest.mark.parametrize(
        ("widths", "broken"),
        [([300, 300, 300], set()), ([300, 300, 150, 150], set()), ([300, 300, 150, 151], {"R14"})],
    )
    def test_a_row_of_rolls(self, widths: list[int], broken: set[str]) -> None:
        """Up to 900 mm of rolls one behind the other hold a box; the last one does not once it
        makes them 901."""
        scene = Scene()
        scene.request["truck"].update(interior_mm=[3000, 1500, 1000], payload_kg=50000)
        y = 0
        for number, width in enumerate(widths, 1):
            scene.fill(number, (0, y, 0), (500, width, 400))
            y += width
        scene.piece("001", (0, y, 0), (500, 1500 - y, 400)).close()
        assert scene.broken() == broken


class TestFigures:
    def test_a_load_measured_by_hand(self) -> None:
        """Volume: 2 x .1 + 2 x .075 + .2 = .55 m3, 550 mm of a truck 1 m x 1 m, over 900 mm.
        Rear axle: 40 kg x 1.25 m and 10 kg x 1.7 m from the front axle, over 3 m, are 22.3 kg."""
        figures = full_wall().report().figures
        assert figures == {
            "loaded": 5,
            "left_off": 0,
            "length_mm": 900,
            "ideal_mm": 550,
            "space_use": 0.6111,
            "side_travel": [0, 0],
            "nose_travel": [0, 0],
            "pads": 0,
            "fills": 0,
            "inside": 0,
            "floor_peak_m2": 0.5,
            "moves": 0,
            "steps": 12,
            "support_share": 1.0,
            "supports_kg": {"front axle": 2028, "rear axle": 2022},
            "load_kg": 50,
            "off_centre_mm": 0,
            "tiers": 2,
            "tier_depth_mm": 500,
            "deep_tiers": 0.0,
            "given": 0,
        }

    @pytest.mark.parametrize(("length", "share"), [(1600, 0.0), (1601, 1.0)])
    def test_deep_tiers(self, length: int, share: float) -> None:
        scene = Scene().piece("001", (0, 0, 0), (length, 1000, 400)).close()
        assert scene.report().figures["deep_tiers"] == share

    def test_support_share_is_of_pieces_off_the_deck(self) -> None:
        scene = Scene().piece("001", (0, 0, 0), (900, 1000, 400))
        scene.piece("002", (0, 0, 400), (1000, 1000, 400)).close()
        assert scene.report().figures["support_share"] == 0.9
