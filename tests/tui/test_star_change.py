"""What becomes of a colouring when its star changes, and of wishes when a suggestion is taken."""

from __future__ import annotations

from stash.model import Colouring, Fabric, Mark
from stash.model import Sequence as Run
from tests.engine.stars import star
from tui.screens import star_change as change
from tui.screens.star_desk import StarWishes


def test_rows_keep_their_fabric_through_another_repeat_and_letters_through_another_grid() -> None:
    mirrored = star(3, "ABCBA")
    uses = {"A": ("Bone",), "B": ("Reed",), "C": ("Soot",)}
    assert change.carried(mirrored, star(3, "ABCDE"), uses) == uses | {"D": ("Reed",), "E": ("Bone",)}
    assert change.carried(mirrored, star(4, "ABCDCBA"), uses) == uses
    assert change.carried(star(4, "ABCDCBA"), star(2, "ABA"), uses) == {"A": ("Bone",), "B": ("Reed",)}


def test_a_suggestion_leaves_locked_look_alikes_and_the_ground() -> None:
    fabrics = tuple(Fabric(number, name) for number, name in enumerate(("Lime", "Pear", "Ink")))
    run = Run(1.0, fabrics, (90, 60, 20), (Mark.COVERED,) * 3)
    now = Colouring({"A": ("Bone",), "B": ("Reed", "Pear"), "C": ("Soot",)}, "Teal")
    found = change.of_sequence(star(2, "ABC"), run, now, frozenset("B"))
    assert found == Colouring({"A": ("Lime",), "B": ("Reed", "Pear"), "C": ("Ink",)}, "Teal")
    assert change.differences(star(2, "ABC"), now, found) == ["A Lime for Bone", "C Ink for Soot"]


def test_wishes_fix_locked_rows_and_never_ban_their_fabric() -> None:
    wishes = StarWishes().with_lock("B", True).with_ban("Reed", True).with_ban("Clay", True)
    asked = wishes.asked(star(2, "ABC"), Colouring({"B": ("Reed",)}, "Teal"))
    assert dict(asked.fixed) == {"B": "Reed"}
    assert asked.without == ("Clay",)
    assert asked.ground == "Teal"
    assert wishes.with_ban("Clay", False).with_lock("B", False).locked == frozenset()
