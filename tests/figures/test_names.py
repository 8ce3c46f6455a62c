"""A learner's name in a picture: whole where there is room, else its start."""

import pytest

from rxlearn.figures.names import cut


@pytest.mark.parametrize(("name", "shown"), [
    ("80 m", "80 m"),
    ("evening contacts", "evening contacts"),
    ("x" * 80, "x" * 15 + "…"),
    ("W" * 80, "W" * 10 + "…"),
    ("i" * 32, "i" * 32),
    ("the long evening contacts", "the long evening c…"),
    ("", ""),
])
def test_a_name_is_cut_by_its_width(name, shown):
    """DERIVED: 16 ordinary letters; a wide one counts for 1.5 and a narrow one for 0.5."""
    assert cut(name, 16) == shown
