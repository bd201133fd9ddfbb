"""R7 to R10 and R15: what is done, in which order. Each test breaks one rule of a sound plan."""

from typing import Any

import pytest

from tests.loading.planner.scene import Scene, from_vaults, full_wall, item


def test_a_sound_plan_from_vaults_breaks_nothing() -> None:
    report = from_vaults().report()
    assert report.broken == ()
    assert report.figures["moves"] == 1


def test_a_plan_that_leaves_all_off_in_an_empty_truck_is_sound() -> None:
    scene = Scene()
    scene.request["items"] = [item("001", (500, 500, 500))]
    scene.plan["left_off"] = [{"tag": "001", "reason": "the truck is small"}]
    assert scene.broken() == set()


def swapped(scene: Scene, one: int, other: int) -> Scene:
    scene.steps[one], scene.steps[other] = scene.steps[other], scene.steps[one]
    return scene


class TestWayIn:
    def test_the_path_from_the_doors(self) -> None:
        """Two boxes behind each other in one tier; the one at the doors goes in first."""
        scene = Scene().piece("001", (0, 0, 0), (500, 1000, 400))
        scene.piece("002", (500, 0, 0), (500, 1000, 400)).close()
        assert scene.broken() == set()
        assert swapped(scene, 1, 3).broken() == {"R7"} | {"R10"}
        scene.steps[0], scene.steps[2] = scene.steps[2], scene.steps[0]
        assert scene.broken() == {"R7"}

    @pytest.mark.parametrize(("z", "broken"), [(399, set()), (398, {"R7"})])
    def test_the_path_is_as_high_as_the_piece(self, z: int, broken: set[str]) -> None:
        """A board that juts out over the place of a box which is put in after it."""
        scene = Scene().piece("001", (0, 0, 0), (500, 1000, z))
        scene.piece("002", (0, 0, z), (600, 1000, 100))
        scene.piece("003", (500, 0, 0), (500, 1000, 400)).close()
        assert scene.broken() - {"R3"} == broken

    def test_a_fill_bars_the_way_too(self) -> None:
        scene = Scene().fill(1, (500, 0, 0), (200, 1000, 200))
        scene.piece("001", (0, 0, 0), (500, 1000, 400)).close()
        assert scene.broken() == {"R7"}

    def test_the_way_of_a_fill(self) -> None:
        scene = Scene().piece("001", (200, 0, 0), (500, 1000, 400), weight_kg=1)
        scene.fill(1, (0, 0, 0), (200, 1000, 400)).close()
        assert scene.broken() == {"R7"}

    def test_a_blocked_box_does_not_bar_the_way(self) -> None:
        scene = full_wall()
        box = {"name": "wheel box", "at_mm": [1500, 0, 0], "size_mm": [500, 150, 300]}
        scene.request["truck"]["blocked"] = [box]
        assert scene.broken() == set()

    @pytest.mark.parametrize("guest_first", [True, False])
    def test_host_and_guest_do_not_bar_each_other(self, guest_first: bool) -> None:
        opening = {"at_mm": [0, 50, 0], "size_mm": [500, 900, 550]}
        scene = Scene().piece("001", (0, 0, 0), (500, 1000, 600), openings=[opening])
        scene.piece("002", (0, 50, 0), (300, 900, 550), inside="001").close()
        if guest_first:
            scene.plan["steps"] = [*scene.steps[2:4], *scene.steps[:2], scene.steps[4]]
        assert scene.broken() == set()


class TestWhenLoaded:
    def test_what_is_under_it_must_be_there(self) -> None:
        scene = full_wall()
        scene.plan["steps"] = [*scene.steps[4:6], *scene.steps[:4], *scene.steps[6:]]
        assert scene.broken() == {"R8"}

    def test_the_same_for_a_fill(self) -> None:
        scene = Scene().piece("001", (0, 0, 0), (500, 1000, 400))
        scene.fill(1, (0, 0, 400), (500, 1000, 200)).close()
        scene.plan["steps"] = [scene.steps[2], *scene.steps[:2], scene.steps[3]]
        assert scene.broken() == {"R8"}

    def test_a_piece_that_is_never_loaded(self) -> None:
        scene = full_wall().piece("006", (900, 0, 0), (100, 1000, 200), tier=2)
        del scene.steps[-2:]
        assert scene.broken() == {"R8"}

    def test_a_fill_that_is_never_put_in(self) -> None:
        scene = full_wall().fill(1, (900, 0, 0), (100, 1000, 200), tier=2)
        del scene.steps[-1:]
        assert scene.broken() == {"R8"}


class TestTiers:
    def test_a_tier_that_is_not_closed_before_the_next(self) -> None:
        scene = full_wall()
        close = next(step for step in scene.steps if step["do"] == "close")
        scene.steps.remove(close)
        scene.steps.append(close)
        assert scene.broken() == {"R9"}

    def test_a_tier_that_is_never_closed(self) -> None:
        scene = full_wall()
        scene.steps.pop()
        assert scene.broken() == {"R9"}

    def test_a_tier_that_is_closed_twice(self) -> None:
        scene = full_wall()
        scene.steps.append({"do": "close", "tier": 2})
        assert scene.broken() == {"R9"}

    def test_a_tier_with_nothing_in_it(self) -> None:
        scene = full_wall()
        scene.steps.append({"do": "close", "tier": 3})
        assert scene.broken() == {"R9"}

    def test_back_to_an_earlier_tier(self) -> None:
        scene = full_wall()
        scene.place("005")["tier"] = 1
        scene.steps[-1]["tier"] = 2
        assert scene.broken() == {"R9"}

    def test_a_fill_after_its_tier_is_closed(self) -> None:
        scene = full_wall().fill(1, (900, 0, 0), (100, 1000, 200), tier=2)
        assert scene.broken() == {"R9"}

    def test_a_fill_may_still_go_into_a_tier_that_the_progress_closed(self) -> None:
        scene = full_wall()
        scene.begun(len(scene.steps))
        scene.fill(1, (900, 0, 0), (100, 1000, 200), tier=2)
        assert scene.broken() == set()

    @pytest.mark.parametrize(("length", "broken"), [(500, set()), (501, {"R9"})])
    def test_at_most_2500_mm_deep(self, length: int, broken: set[str]) -> None:
        scene = Scene()
        for n in range(4):
            scene.piece(f"00{n}", (500 * n, 0, 0), (500, 1000, 400))
        scene.piece("009", (2000, 0, 0), (length, 1000, 400)).close()
        assert scene.broken() == broken

    @pytest.mark.parametrize(("more", "broken"), [(0, set()), (1, {"R9"})])
    def test_or_as_deep_as_its_longest_piece(self, more: int, broken: set[str]) -> None:
        scene = Scene().piece("001", (0, 0, 0), (2700, 500, 400))
        scene.piece("002", (0, 500, 0), (2000, 500, 400))
        scene.piece("003", (2000, 500, 0), (700 + more, 500, 400)).close()
        assert scene.broken() == broken

    def test_fills_do_not_count_in_the_depth(self) -> None:
        scene = Scene()
        for n in range(5):
            scene.piece(f"00{n}", (500 * n, 0, 0), (500, 1000, 400))
        scene.fill(1, (2500, 0, 0), (300, 1000, 400)).close()
        assert scene.broken() == set()


class TestDock:
    def test_a_vault_behind_another(self) -> None:
        scene = from_vaults()
        scene.steps.remove({"do": "move", "vault": "X1", "lane": "B"})
        assert scene.broken() == {"R10"}

    def test_a_vault_under_another(self) -> None:
        scene = from_vaults()
        scene.request["vaults"][1]["level"] = 1
        scene.request["other_vaults"][1]["level"] = 2
        assert scene.broken() == {"R10"}

    def test_a_lane_that_is_full(self) -> None:
        scene = from_vaults()
        scene.request["lanes"]["of"] = {"B": [2, 2]}
        scene.request["lanes"]["names"].append("C")
        scene.request["lanes"]["of"]["C"] = [1, 1]
        scene.request["other_vaults"].append({"code": "X3", "lane": "C", "depth": 1, "level": 1})
        assert scene.broken() == set()
        scene.steps[1]["lane"] = "C"
        assert scene.broken() == {"R10"}

    def test_a_full_front_stack_starts_the_next_one_nearer_the_aisle(self) -> None:
        scene = from_vaults()
        swapped(scene, 0, 1)
        assert scene.broken() == {"R10"}  # X1 now stands ahead of V2
        scene.steps.insert(1, {"do": "move", "vault": "X1", "lane": "A"})
        assert scene.broken() == {"R10"}  # it is ahead of V1 again

    @pytest.mark.parametrize("lane", ["A", "Z"])
    def test_a_move_to_no_other_lane(self, lane: str) -> None:
        scene = from_vaults()
        scene.steps[1]["lane"] = lane
        assert scene.broken() == {"R10"}

    @pytest.mark.parametrize(("order", "broken"), [(["V2", "V1"], set()), (["V1", "V2"], {"R10"})])
    def test_the_order_that_the_warehouse_insists_on(
        self, order: list[str], broken: set[str]
    ) -> None:
        scene = from_vaults()
        scene.request["pull_order"] = order
        assert scene.broken() == broken

    @pytest.mark.parametrize(("spots", "broken"), [(2, set()), (1, {"R10"})])
    def test_vault_spots(self, spots: int, broken: set[str]) -> None:
        scene = from_vaults()
        scene.request["dock"]["vault_spots"] = spots
        assert scene.broken() == broken

    def test_pieces_leave_a_vault_in_its_order(self) -> None:
        scene = from_vaults()
        scene.request["vaults"][0]["items"] = ["002", "001"]
        assert scene.broken() == {"R10"}

    def test_a_piece_out_of_a_vault_that_is_not_open(self) -> None:
        scene = from_vaults()
        first = scene.steps.index({"do": "unpack", "tag": "001"})
        scene.steps.insert(0, scene.steps.pop(first))
        assert scene.broken() == {"R10"}

    def test_a_piece_that_is_loaded_twice(self) -> None:
        scene = full_wall()
        scene.steps.insert(-1, {"do": "load", "tag": "005"})
        assert scene.broken() == {"R10"}

    @pytest.mark.parametrize("tag", ["001", "005"])
    def test_fetching_what_does_not_stand_loose(self, tag: str) -> None:
        scene = from_vaults()
        scene.steps.insert(-1, {"do": "fetch", "tag": tag})
        assert scene.broken() == {"R10"}

    def test_a_vault_that_is_cleared_with_something_in_it(self) -> None:
        scene = from_vaults()
        clear = {"do": "clear", "vault": "V2"}
        scene.steps.remove(clear)
        scene.steps.insert(scene.steps.index({"do": "unpack", "tag": "004"}), clear)
        assert scene.broken() == {"R10"}

    def test_a_vault_that_stays_on_the_dock(self) -> None:
        scene = from_vaults()
        scene.steps.remove({"do": "clear", "vault": "V1"})
        assert scene.broken() == {"R10"}

    def test_a_vault_of_another_customer(self) -> None:
        scene = from_vaults()
        scene.steps[1] = {"do": "pull", "vault": "X1"}
        assert scene.broken() == {"R10"}

    def test_a_step_that_there_is_not(self) -> None:
        scene = full_wall()
        scene.steps.append({"do": "shake"})
        assert scene.broken() == {"R10"}

    @pytest.mark.parametrize(
        ("keys", "floor_m2", "broken"),
        [
            ({}, 0.52, set()),
            ({}, 0.519999, {"R10"}),
            ({"carton": True, "bears_kg": 25}, 0.26, set()),
            ({"carton": True, "bears_kg": 25}, 0.259999, {"R10"}),
            ({"carton": True, "bears_kg": 24.9}, 0.26, {"R10"}),
            ({"carton": True, "bears_kg": 25, "fragile": True}, 0.26, {"R10"}),
            ({"postures": ["standing", "on_end"]}, 0.519999, {"R10"}),
            ({"postures": ["standing", "on_side"]}, 0.26, set()),
        ],
    )
    def test_the_floor(self, keys: dict[str, Any], floor_m2: float, broken: set[str]) -> None:
        """400 x 1000 x 500 mm takes 1.3 x .4 m2; on its side .2 m2 (400 x 500 mm)."""
        scene = Scene().piece("001", (0, 0, 0), (400, 1000, 500), **keys).close()
        scene.request["dock"]["floor_m2"] = floor_m2
        assert scene.broken() == broken


class TestWhatStays:
    """A vault that holds something which does not leave goes back; one that is emptied does not."""

    def scene(self) -> Scene:
        scene = from_vaults()
        scene.request["items"].append(item("006", (300, 300, 300), leaves=False))
        scene.request["vaults"][0]["items"] = ["001", "006", "002"]
        at = scene.steps.index({"do": "unpack", "tag": "002"})
        scene.steps.insert(at, {"do": "unpack", "tag": "006"})
        at = scene.steps.index({"do": "clear", "vault": "V1"})
        scene.plan["steps"][at : at + 1] = [
            {"do": "return", "tag": "006"},
            {"do": "store", "vault": "V1", "lane": "A"},
        ]
        return scene

    def test_it_goes_back_into_its_vault_and_that_into_a_lane(self) -> None:
        assert self.scene().broken() == set()

    def test_it_must_not_stay_on_the_dock(self) -> None:
        scene = self.scene()
        at = scene.steps.index({"do": "return", "tag": "006"})
        scene.plan["steps"][at : at + 2] = [{"do": "clear", "vault": "V1"}]
        assert scene.broken() == {"R10"}

    def test_an_empty_vault_is_not_stored(self) -> None:
        scene = from_vaults()
        at = scene.steps.index({"do": "clear", "vault": "V1"})
        scene.steps[at] = {"do": "store", "vault": "V1", "lane": "A"}
        assert scene.broken() == {"R10"}

    def test_a_piece_goes_back_only_from_the_floor(self) -> None:
        scene = self.scene()
        scene.steps.remove({"do": "unpack", "tag": "006"})
        assert scene.broken() == {"R10"}

    def test_a_piece_that_is_left_off_keeps_its_vault(self) -> None:
        scene = from_vaults()
        scene.request["vaults"][0]["items"].append("006")
        scene.request["items"].append(item("006", (300, 300, 300)))
        scene.plan["left_off"] = [{"tag": "006", "reason": "the floor is full"}]
        scene.steps.remove({"do": "clear", "vault": "V1"})
        assert scene.broken() == set()

    def test_or_stays_on_the_floor(self) -> None:
        scene = from_vaults()
        scene.request["vaults"][0]["items"].append("006")
        scene.request["items"].append(item("006", (300, 300, 300)))
        scene.plan["left_off"] = [{"tag": "006", "reason": "no room is left"}]
        at = scene.steps.index({"do": "clear", "vault": "V1"})
        scene.steps.insert(at, {"do": "unpack", "tag": "006"})
        assert scene.broken() == set()


class TestProgress:
    def test_a_plan_that_goes_on_from_it(self) -> None:
        scene = from_vaults().begun(6)
        assert scene.broken() == set()

    def test_steps_that_are_not_as_they_were_done(self) -> None:
        scene = full_wall().begun(4)
        scene.plan["steps"] = [*scene.steps[2:4], *scene.steps[:2], *scene.steps[4:]]
        assert scene.broken() == {"R15"}

    def test_a_place_that_changes(self) -> None:
        scene = full_wall().begun(4)
        scene.place("001")["level"] = "middle"
        scene.place("003")["level"] = "top"
        assert scene.broken() == {"R15"}

    def test_a_fill_that_changes(self) -> None:
        scene = Scene().piece("001", (0, 0, 0), (500, 1000, 400))
        scene.fill(1, (500, 0, 0), (200, 1000, 200), pads=2).close().begun(3)
        assert scene.broken() == set()
        scene.plan["fills"][0]["pads"] = 3
        assert scene.broken() == {"R15"}

    def test_what_was_done_against_a_rule_is_a_fact(self) -> None:
        """Boxes loaded in the wrong order, from a vault that could not be reached, onto nothing."""
        scene = from_vaults()
        scene.steps.remove({"do": "move", "vault": "X1", "lane": "B"})
        scene.plan["steps"] = [*scene.steps[6:8], *scene.steps[:6], *scene.steps[8:]]
        assert scene.broken() == {"R8", "R10"}
        assert scene.begun(8).broken() == set()

    def overloaded(self) -> Scene:
        """001 bears 5 kg and carries the 10 kg of 003."""
        scene = full_wall()
        scene.item("001")["bears_kg"] = 5
        return scene.begun(8)

    def test_a_fault_of_its_places_is_given(self) -> None:
        report = self.overloaded().report()
        assert report.broken == ()
        assert [fault.rule for fault in report.given] == ["R5"]
        assert report.figures["given"] == 1

    @pytest.mark.parametrize(("more_kg", "broken"), [(0.05, set()), (0.06, {"R5"})])
    def test_a_given_fault_may_not_get_worse(self, more_kg: float, broken: set[str]) -> None:
        """Another board on what is too heavy already."""
        scene = Scene().piece("001", (0, 0, 0), (500, 1000, 400), bears_kg=5)
        scene.piece("002", (0, 0, 400), (500, 1000, 300), level="top").begun(4)
        scene.piece("003", (0, 0, 700), (500, 1000, 200), level="top", weight_kg=more_kg).close()
        assert scene.broken() == broken

    def test_side_travel_that_a_fill_can_still_cure_is_no_excuse(self) -> None:
        scene = Scene().piece("001", (0, 0, 0), (500, 800, 400)).begun(2).close()
        assert scene.broken() == {"R14"}
        scene.begun(3)
        report = scene.report()  # the tier is closed now
        assert report.broken == ()
        assert [fault.rule for fault in report.given] == ["R14"]


class TestTakeOut:
    def scene(self) -> Scene:
        """The last box was loaded before the plan; it comes out and goes in again further on."""
        scene = full_wall().begun(11)
        scene.steps.insert(11, {"do": "take_out", "tag": "005"})
        scene.steps.insert(12, {"do": "load", "tag": "005"})
        scene.place("005")["at_mm"] = [600, 0, 0]
        return scene

    def test_it_may_come_to_stand_elsewhere(self) -> None:
        assert self.scene().broken() == set()

    def test_or_be_left_off(self) -> None:
        scene = self.scene()
        scene.plan["placements"].pop()
        scene.plan["left_off"] = [{"tag": "005", "reason": "the shipper keeps it"}]
        del scene.steps[12:]
        assert scene.broken() == set()

    def test_it_must_be_put_somewhere(self) -> None:
        scene = self.scene()
        del scene.steps[12]
        assert scene.broken() == {"R8"}

    def test_only_what_was_loaded_before_the_plan(self) -> None:
        scene = self.scene()
        scene.request["progress"] = None
        assert scene.broken() == {"R10"}

    @pytest.mark.parametrize("tag", ["001", "003"])
    def test_not_from_under_or_behind_another(self, tag: str) -> None:
        """On 001 stands 003; before them both stands nothing until 005, which is 500 mm high."""
        scene = full_wall().begun(11)
        scene.steps[11:11] = [{"do": "take_out", "tag": tag}, {"do": "load", "tag": tag}]
        assert "R7" in scene.broken()

    def test_its_floor_counts(self) -> None:
        scene = self.scene()
        scene.request["dock"]["floor_m2"] = 0.5
        assert scene.broken() == {"R10"}

    def test_where_it_stood_before_the_plan_began_is_not_its_place_now(self) -> None:
        """002 was loaded and came out again; now 001 goes in first, in the tier before its own."""
        scene = Scene().piece("001", (0, 0, 0), (500, 1000, 400))
        scene.piece("002", (500, 0, 0), (500, 1000, 400), tier=2).close()
        done = [{"do": do, "tag": "002"} for do in ("fetch", "load", "take_out")]
        scene.request["progress"] = {"steps": done, "placements": [], "fills": []}
        left = [step for step in scene.steps if step != {"do": "fetch", "tag": "002"}]
        scene.plan["steps"] = [*done, *left]
        assert scene.broken() == set()
