"""Room for words on a drawing: a word is written only where no other stands."""

from collections.abc import Iterable

from aanplant.report.paper import Box


class Room:
    """Ground on paper that is still free for words.

    Parameters
    ----------
    window : Box
        Words stay inside it. [mm]
    """

    def __init__(self, window: Box) -> None:
        self._window = window
        self._taken: list[Box] = []

    def is_free(self, area: Box) -> bool:
        """Whether an area lies inside the window and touches nothing taken."""
        window = self._window
        inside = (
            area.x >= window.x
            and area.y >= window.y
            and area.right <= window.right
            and area.bottom <= window.bottom
        )
        return inside and not any(_touch(area, other) for other in self._taken)

    def take(self, area: Box) -> None:
        """Keep words away from an area."""
        self._taken.append(area)

    def is_line_free(self, x1: float, y1: float, x2: float, y2: float) -> bool:
        """Whether a straight line crosses nothing taken."""
        steps = max(int(max(abs(x2 - x1), abs(y2 - y1)) / 0.4), 1)
        return not any(
            _touch(Box(x1 + part * (x2 - x1) - 0.1, y1 + part * (y2 - y1) - 0.1, 0.2, 0.2), other)
            for part in (step / steps for step in range(steps + 1))
            for other in self._taken
        )

    def first_free(self, areas: Iterable[Box]) -> Box | None:
        """Take the first free one of several areas."""
        for area in areas:
            if self.is_free(area):
                self.take(area)
                return area
        return None


def _touch(one: Box, other: Box) -> bool:
    return (
        one.x < other.right
        and other.x < one.right
        and one.y < other.bottom
        and other.y < one.bottom
    )
