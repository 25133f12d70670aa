"""The one kind of error a user can cause, and the one that stops a plan on request."""


class InputError(Exception):
    """Something the user gave cannot be used.

    Parameters
    ----------
    where : str
        File, key or line the trouble is in, such as ``brief.toml: rows.headland``.
    found : str
        What stands there.
    expected : str
        What would be right, in words the user can act on.
    """

    def __init__(self, where: str, found: str, expected: str) -> None:
        super().__init__(where, found, expected)
        self.where = where
        self.found = found
        self.expected = expected

    def __str__(self) -> str:
        """One line: where, what was found, what is expected."""
        return f"{self.where}: found {self.found}; expected {self.expected}"


def cannot_be_made(folder: object, error: OSError) -> InputError:
    """Make the error for a folder that the user named and the disk refuses."""
    return InputError(
        str(folder),
        f"a folder that can't be made ({error.strerror})",
        "a place you may write to",
    )


class Cancelled(Exception):  # noqa: N818 - not an error: the caller asked for it
    """Raised by a ``check`` callback to stop a plan that is no longer wanted."""
