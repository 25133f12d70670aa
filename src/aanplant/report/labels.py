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
