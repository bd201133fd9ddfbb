"""R1 to R6: what is placed, how, where, on what. Each test breaks one rule of a sound plan.

A piece that lacks support in the end lacked it when it was loaded, so R8 goes with R4.
"""

import pytest

from loading.planner.errors import PlanError
from tests.loading.planner.scene import Scene, full_wall, item


def test_a_sound_plan_breaks_nothing() -> None:
    report = full_wall().report()
    assert report.broken == ()
    assert report.given == ()


def test_a_plan_of_another_request_is_refused() -> None:
    scene = full_wall()
    scene.plan["request"] = "another"
    with pytest.raises(PlanError, match="/request: is another, the request is scene"):
        scene.report()


class TestWhole:
    def test_a_piece_that_is_nowhere(self) -> None:
        scene = full_wall()
        scene.request["items"].append(item("006", (100, 100, 100)))
        assert scene.broken() == {"R1"}

    def test_left_off_with_a_reason(self) -> None:
        scene = full_wall()
        scene.request["items"].append(item("006", (100, 100, 100)))
        scene.plan["left_off"] = [{"tag": "006", "reason": "does not fit anywhere"}]
        assert scene.broken() == set()

    @pytest.mark.parametrize("reason", ["", "  "])
    def test_left_off_without_a_reason(self, reason: str) -> None:
        scene = full_wall()
        scene.request["items"].append(item("006", (100, 100, 100)))
        scene.plan["left_off"] = [{"tag": "006", "reason": reason}]
        assert scene.broken() == {"R1"}

    def test_placed_and_left_off_too(self) -> None:
        scene = full_wall()
        scene.plan["left_off"] = [{"tag": "005", "reason": "too long"}]
        assert scene.broken() == {"R1"}

    def test_a_tag_of_no_piece(self) -> None:
        scene = full_wall()
        scene.plan["left_off"] = [{"tag": "999", "reason": "too long"}]
        assert scene.broken() == {"R1"}

    def test_a_piece_that_does_not_leave(self) -> None:
        scene = full_wall()
        scene.item("005")["leaves"] = False
        assert scene.broken() == {"R1"}

    def test_a_fill_that_is_put_in_twice(self) -> None:
        scene = full_wall().fill(1, (900, 0, 0), (100, 1000, 200), tier=2)
        scene.steps.append({"do": "fill", "fill": 1})
        scene.close()
        scene.steps.pop(-4)
        assert scene.broken() == {"R1"}


class TestPosture:
    def test_a_posture_that_is_not_allowed(self) -> None:
        scene = full_wall()
        scene.item("005")["size_mm"] = [400, 500, 1000]
        scene.place("005")["posture"] = "on_side"
        assert scene.broken() == {"R2"}
        scene.item("005")["postures"] = ["standing", "on_side"]
        assert scene.broken() == set()

    @pytest.mark.parametrize(
        ("posture", "bare_mm"),
        [
            ("standing", [400, 1000, 500]),
            ("standing", [1000, 400, 500]),
            ("on_side", [400, 500, 1000]),
            ("on_end", [500, 400, 1000]),
        ],
    )
    def test_postures_turn_freely_about_the_vertical_axis(
        self, posture: str, bare_mm: list[int]
    ) -> None:
        scene = full_wall()
        scene.item("005").update(size_mm=bare_mm, postures=[posture])
        scene.place("005")["posture"] = posture
        assert scene.broken() == set()

    @pytest.mark.parametrize("bare_mm", [[401, 1000, 500], [400, 999, 500], [400, 1000, 501]])
    def test_a_size_that_is_not_as_loaded(self, bare_mm: list[int]) -> None:
        scene = full_wall()
        scene.item("005")["size_mm"] = bare_mm
        assert scene.broken() == {"R2"}

    def test_a_wrapped_piece_is_two_pads_larger(self) -> None:
        scene = full_wall()
        scene.item("005").update(size_mm=[380, 980, 480], wrap=True)
        assert scene.broken() == set()
        scene.item("005")["wrap"] = False
        assert scene.broken() == {"R2"}

    @pytest.mark.parametrize(
        ("door_mm", "broken"),
        [([500, 500], set()), ([500, 499], {"R2"}), ([499, 500], {"R2"}), ([499, 499], {"R2"})],
    )
    def test_the_door(self, door_mm: list[int], broken: set[str]) -> None:
        """The highest piece is 500 mm; the widest has 500 mm as its smaller floor side."""
        scene = full_wall()
        scene.request["truck"]["door_mm"] = door_mm
        assert scene.broken() == broken


class TestRoom:
    @pytest.mark.parametrize(("x", "broken"), [(2600, set()), (2601, set()), (2602, {"R3"})])
    def test_the_doors(self, x: int, broken: set[str]) -> None:
        """A piece may stand out by the tolerance of 1 mm. It is alone, and a long way from the
        nose, so that its travel breaks R14 too."""
        scene = Scene().piece("001", (x, 0, 0), (400, 1000, 500)).close()
        assert scene.broken() - {"R14"} == broken

    @pytest.mark.parametrize(("z", "broken"), [(399, set()), (398, {"R3"})])
    def test_shared_space(self, z: int, broken: set[str]) -> None:
        """1 mm is overlooked; from 2 mm on the lower is no support, and in the way, too."""
        scene = Scene().piece("001", (0, 0, 0), (500, 1000, 400))
        scene.piece("002", (0, 0, z), (500, 1000, 400)).close()
        assert scene.broken() - {"R4", "R7", "R8"} == broken

    def test_shared_space_alone(self) -> None:
        """A wheel box that nobody measured, within a piece that stands well otherwise."""
        scene = Scene().piece("001", (0, 0, 0), (500, 1000, 400))
        scene.piece("002", (500, 0, 0), (500, 1000, 400))
        scene.piece("003", (0, 0, 400), (1000, 1000, 200)).close()
        box = {"name": "wheel box", "at_mm": [900, 0, 0], "size_mm": [100, 100, 100]}
        assert scene.broken() == set()
        scene.request["truck"]["blocked"] = [box]
        assert scene.broken() == {"R3"}

    @pytest.mark.parametrize(("reach", "broken"), [(101, set()), (102, {"R3"})])
    def test_a_blocked_box(self, reach: int, broken: set[str]) -> None:
        scene = Scene().piece("001", (100, 0, 0), (400, 1000, 500)).close()
        box = {"name": "wheel box", "at_mm": [0, 0, 0], "size_mm": [reach, 1000, 300]}
        scene.request["truck"]["blocked"] = [box]
        assert scene.broken() == broken

    def test_a_fill_shares_space(self) -> None:
        scene = full_wall().fill(1, (898, 0, 0), (100, 1000, 200), tier=2)
        del scene.steps[-2]
        scene.close()
        assert "R3" in scene.broken()


def table_with_guest() -> Scene:
    """A table as wide as the truck with a box between its legs, 50 mm off each side."""
    return (
        Scene()
        .piece(
            "001",
            (0, 0, 0),
            (500, 1000, 600),
            openings=[{"at_mm": [0, 50, 0], "size_mm": [500, 900, 550]}],
        )
        .piece("002", (0, 50, 0), (300, 900, 550), inside="001")
        .close()
    )


class TestOpenings:
    def test_a_guest_in_an_opening(self) -> None:
        report = table_with_guest().report()
        assert report.broken == ()
        assert report.figures["inside"] == 1

    def test_a_guest_shares_no_space_without_saying_so(self) -> None:
        scene = table_with_guest()
        scene.place("002")["inside"] = None
        assert "R3" in scene.broken()

    @pytest.mark.parametrize(("y", "holds"), [(49, True), (48, False)])
    def test_a_guest_lies_wholly_in_the_opening(self, y: int, holds: bool) -> None:
        scene = table_with_guest()
        scene.place("002")["at_mm"] = [0, y, 0]
        assert ("R3" not in scene.broken()) is holds

    def test_openings_count_only_while_the_host_stands(self) -> None:
        scene = table_with_guest()
        scene.item("001").update(size_mm=[500, 600, 1000], postures=["on_side"])
        scene.item("001")["openings"] = [{"at_mm": [0, 50, 0], "size_mm": [500, 500, 900]}]
        scene.place("001")["posture"] = "on_side"
        assert "R3" in scene.broken()

    def test_the_openings_of_a_wrapped_host_shift_and_grow_at_the_ground(self) -> None:
        scene = table_with_guest()
        scene.item("001").update(size_mm=[480, 980, 580], wrap=True)
        scene.item("001")["openings"] = [{"at_mm": [0, 40, 0], "size_mm": [480, 900, 540]}]
        assert scene.broken() - {"R7"} == {"R3"}  # the opening begins 10 mm behind the nose
        scene.place("002")["at_mm"] = [10, 50, 0]
        assert scene.broken() == set()

    @pytest.mark.parametrize(("y", "is_open"), [(0, True), (100, True), (300, False)])
    def test_a_host_may_be_turned_in_quarter_turns(self, y: int, is_open: bool) -> None:
        """The opening is at one end of a host that is as long as the truck is wide; turned, it is
        at either wall, never in the middle."""
        scene = Scene().piece(
            "001",
            (0, 0, 0),
            (500, 1000, 600),
            bare_mm=(1000, 500, 600),
            openings=[{"at_mm": [0, 0, 0], "size_mm": [300, 500, 500]}],
        )
        y = 1000 - 300 if y == 100 else y
        scene.piece("002", (0, y, 0), (500, 300, 500), inside="001").close()
        assert ("R3" not in scene.broken()) is is_open

    def test_a_guest_takes_no_guest(self) -> None:
        scene = table_with_guest()
        scene.item("002")["openings"] = [{"at_mm": [0, 0, 0], "size_mm": [300, 900, 500]}]
        scene.steps.pop()
        scene.piece("003", (0, 50, 0), (200, 900, 500), inside="002").close()
        assert "R3" in scene.broken()

    @pytest.mark.parametrize(("z", "broken"), [(210, set()), (211, {"R4", "R8"})])
    def test_a_guest_on_a_raised_floor_rests_on_its_host(self, z: int, broken: set[str]) -> None:
        scene = table_with_guest()
        opening = {"at_mm": [0, 50, 200], "size_mm": [500, 900, 400]}
        scene.item("001")["openings"] = [opening]
        scene.item("002")["size_mm"] = scene.place("002")["size_mm"] = [300, 900, 300]
        scene.place("002")["at_mm"] = [0, 50, z]
        assert scene.broken() == broken
        scene.item("001")["bears_kg"] = 5
        assert scene.broken() == broken | ({"R5"} if not broken else set())


class TestSupport:
    @pytest.mark.parametrize(("reach", "broken"), [(800, set()), (799, {"R4", "R8"})])
    def test_four_fifths_of_the_bottom(self, reach: int, broken: set[str]) -> None:
        """A piece 1000 mm long on a base that reaches so far under it."""
        scene = Scene().piece("001", (0, 0, 0), (reach, 1000, 400))
        scene.piece("002", (0, 0, 400), (1000, 1000, 400)).close()
        assert scene.broken() == broken

    @pytest.mark.parametrize(("z", "broken"), [(399, set()), (410, set()), (411, {"R4", "R8"})])
    def test_a_top_at_most_10_mm_below(self, z: int, broken: set[str]) -> None:
        scene = Scene().piece("001", (0, 0, 0), (500, 1000, 400))
        scene.piece("002", (0, 0, z), (500, 1000, 400)).close()
        assert scene.broken() == broken

    def test_the_deck_counts_only_at_its_own_height(self) -> None:
        scene = Scene().piece("001", (0, 0, 5), (500, 1000, 400)).close()
        assert scene.broken() == {"R4", "R8"}

    def test_tops_of_blocked_boxes_carry(self) -> None:
        scene = Scene().piece("001", (0, 0, 300), (500, 1000, 400)).close()
        box = {"name": "wheel box", "at_mm": [0, 0, 0], "size_mm": [400, 1000, 300]}
        scene.request["truck"]["blocked"] = [box]
        assert scene.broken() == set()

    @pytest.mark.parametrize(
        ("rolls_mm", "broken"),
        [([100], set()), ([101], {"R4", "R8"}), ([40, 60], set()), ([40, 61], {"R4", "R8"})],
    )
    def test_at_most_100_mm_of_fills_in_all(self, rolls_mm: list[int], broken: set[str]) -> None:
        scene = Scene().piece("001", (0, 0, 0), (500, 1000, 400))
        z = 400
        for number, thick in enumerate(rolls_mm, 1):
            scene.fill(number, (0, 0, z), (500, 1000, thick))
            z += thick
        scene.piece("002", (0, 0, z), (500, 1000, 300)).close()
        assert scene.broken() == broken

    def test_a_roll_holds_only_where_something_holds_it(self) -> None:
        """The roll rests on 60 % of its bottom, enough for a roll; what stands on it does not."""
        scene = Scene().piece("001", (0, 0, 0), (600, 1000, 400))
        scene.fill(1, (0, 0, 400), (1000, 1000, 100))
        assert scene.close().broken() == set()
        scene.steps.pop()
        scene.piece("002", (0, 0, 500), (1000, 1000, 300)).close()
        assert scene.broken() == {"R4", "R8"}

    @pytest.mark.parametrize(("reach", "broken"), [(500, set()), (499, {"R4", "R8"})])
    def test_half_of_a_fill(self, reach: int, broken: set[str]) -> None:
        scene = Scene().piece("001", (0, 0, 0), (reach, 1000, 400))
        scene.fill(1, (0, 0, 400), (1000, 1000, 200)).close()
        assert scene.broken() == broken


class TestBearing:
    @pytest.mark.parametrize(
        ("weight_kg", "broken"),
        [(50.5, set()), (50.55, set()), (50.551, {"R5"})],
    )
    def test_the_limit_with_1_percent_and_50_g(self, weight_kg: float, broken: set[str]) -> None:
        scene = full_wall()
        scene.item("001")["bears_kg"] = 50
        scene.item("003")["weight_kg"] = weight_kg
        assert scene.broken() == broken

    def test_a_fragile_piece_carries_nothing(self) -> None:
        scene = full_wall()
        scene.item("001")["fragile"] = True
        assert scene.broken() == {"R5"}

    def test_load_is_passed_down(self) -> None:
        scene = Scene()
        scene.piece("001", (0, 0, 0), (500, 1000, 300), bears_kg=20)
        scene.piece("002", (0, 0, 300), (500, 1000, 300), bears_kg=20)
        scene.piece("003", (0, 0, 600), (500, 1000, 300))
        assert scene.close().broken() == set()
        scene.item("001")["bears_kg"] = 19
        assert scene.broken() == {"R5"}

    @pytest.mark.parametrize(("bears_kg", "broken"), [(7.5, set()), (7.3, {"R5"})])
    def test_load_is_shared_by_contact_area(self, bears_kg: float, broken: set[str]) -> None:
        """10 kg on two boxes, three quarters of the contact on the first; 7.3 kg and 1 % and
        50 g are 7.423 kg."""
        scene = Scene().piece("001", (0, 0, 0), (500, 750, 400), bears_kg=bears_kg)
        scene.piece("002", (0, 750, 0), (500, 250, 400), bears_kg=2.5)
        scene.piece("003", (0, 0, 400), (500, 1000, 400)).close()
        assert scene.broken() == broken

    def test_load_goes_straight_down_through_fills(self) -> None:
        scene = Scene().piece("001", (0, 0, 0), (500, 1000, 400), bears_kg=9)
        scene.fill(1, (0, 0, 400), (500, 1000, 100))
        scene.piece("002", (0, 0, 500), (500, 1000, 400)).close()
        assert scene.broken() == {"R5"}


class TestLevels:
    @pytest.mark.parametrize(
        ("upper", "lower", "broken"),
        [
            ("base", "base", set()),
            ("top", "base", set()),
            ("base", "middle", {"R6"}),
            ("middle", "top", {"R6"}),
        ],
    )
    def test_nothing_rests_on_a_higher_level(
        self, upper: str, lower: str, broken: set[str]
    ) -> None:
        scene = full_wall()
        scene.place("001")["level"], scene.place("003")["level"] = lower, upper
        assert scene.broken() == broken

    def test_nor_through_a_fill(self) -> None:
        scene = Scene().piece("001", (0, 0, 0), (500, 1000, 400), level="top")
        scene.fill(1, (0, 0, 400), (500, 1000, 100))
        scene.piece("002", (0, 0, 500), (500, 1000, 400)).close()
        assert scene.broken() == {"R6"}

    def test_a_level_that_is_asked(self) -> None:
        scene = full_wall()
        scene.item("003")["level"] = "middle"
        assert scene.broken() == {"R6"}

    def test_a_level_that_there_is_not(self) -> None:
        scene = full_wall()
        scene.place("003")["level"] = "roof"
        assert scene.broken() == {"R6"}

    @pytest.mark.parametrize(
        ("upper_kg", "broken"), [(11, set()), (11.05, set()), (11.051, {"R6"})]
    )
    def test_a_carton_on_a_lighter_carton(self, upper_kg: float, broken: set[str]) -> None:
        scene = full_wall()
        for tag in ("001", "003"):
            scene.item(tag)["carton"] = True
        scene.item("003")["weight_kg"] = upper_kg
        assert scene.broken() == broken
        scene.item("001")["carton"] = False
        assert scene.broken() == set()
