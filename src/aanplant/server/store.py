"""An estate's folder as the server sees it: blocks and files by name, and nothing outside it.

A name that comes over the wire is never joined to a path: it is looked up among the
names that lie in the folder.
"""

import hashlib
import os
import re
from dataclasses import dataclass
from pathlib import Path
from threading import Lock

from aanplant.brief import parse_brief
from aanplant.errors import InputError
from aanplant.estate import Estate, parse_estate
from aanplant.files.estate_folder import BRIEF_FILE, ESTATE_FILE
from aanplant.files.reading import decode_text, read_text_checked

BLOCKS, PLANS = "blocks", "plans"
_NEW_NAME = re.compile(r"[a-z0-9](?:[a-z0-9-]{0,60}[a-z0-9])?")
_FILE_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9 ._-]{0,100}")


class MissingError(Exception):
    """There is nothing of that name."""


class ChangedError(Exception):
    """What lies on disk is not what was read."""

    def __init__(self, version: str) -> None:
        super().__init__(version)
        self.version = version


@dataclass(frozen=True, slots=True)
class StoredBrief:
    """A brief as it lies on disk.

    Parameters
    ----------
    text : str
        TOML, comments and all.
    version : str
        Of exactly these bytes.
    """

    text: str
    version: str


class EstateStore:
    """The folder of one estate.

    Parameters
    ----------
    folder : Path
        Holds ``estate.toml``.

    Raises
    ------
    InputError
        If it does not.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder.resolve()
        self._writing = Lock()
        if not (self.folder / ESTATE_FILE).is_file():
            raise InputError(
                str(folder),
                f"no {ESTATE_FILE} in it",
                'an estate\'s folder; "aanplant new" makes one',
            )

    def holds(self, path: Path) -> bool:
        """Whether a path leads to a place inside the folder, links followed."""
        return path.resolve().is_relative_to(self.folder)

    def estate(self) -> Estate:
        """Read the estate's settings."""
        return parse_estate(read_text_checked(self.folder / ESTATE_FILE), ESTATE_FILE)

    def blocks(self) -> tuple[str, ...]:
        """Names of the blocks, in order."""
        return tuple(sorted(self._block_folders()))

    def block(self, name: str) -> Path:
        """Return the folder of a block.

        Raises
        ------
        MissingError
            If there is no such block.
        """
        try:
            return self._block_folders()[name]
        except KeyError:
            raise MissingError(f"There is no block {name!r}.") from None

    def brief(self, name: str) -> StoredBrief:
        """Read a brief as it lies there now."""
        return _stored((self.block(name) / BRIEF_FILE).read_bytes())

    def save_brief(self, name: str, text: str, *, expected: str) -> StoredBrief:
        """Write a brief in place of the one that was read.

        Parameters
        ----------
        name : str
            Of the block.
        text : str
            The new brief; refused when it cannot be used.
        expected : str
            Version that the new text started from.

        Raises
        ------
        ChangedError
            If another one lies there by now; carries its version.
        InputError
            If the text is no brief.
        """
        parse_brief(text, BRIEF_FILE)
        path = self.block(name) / BRIEF_FILE
        with self._writing:
            current = _stored(path.read_bytes())
            if current.version != expected:
                raise ChangedError(current.version)
            write_whole(path, text.encode())
        return _stored(text.encode())

    def add_block(self, name: str, files: dict[str, bytes]) -> None:
        """Make a new block from its files, its brief among them.

        Raises
        ------
        InputError
            If the name is taken or no fit name for a folder.
        """
        if not _NEW_NAME.fullmatch(name):
            raise InputError("block", repr(name), "small letters, digits and hyphens")
        for file in files:
            fit_file_name(file)
        folder = self.folder / BLOCKS / name
        staged = folder.with_name(f".{name}.new")
        with self._writing:
            if folder.exists():
                raise InputError("block", f"{name!r}, which is there already", "a name of its own")
            staged.mkdir(parents=True, exist_ok=True)
            for file, data in files.items():
                (staged / file).write_bytes(data)
            staged.rename(folder)

    def sources(self, name: str) -> dict[str, Path]:
        """Files beside a block's brief by name, hidden ones and the brief left out."""
        folder = self.block(name)
        return {
            path.name: path
            for path in sorted(folder.iterdir())
            if path.is_file()
            and self.holds(path)
            and path.name != BRIEF_FILE
            and not path.name.startswith(".")
        }

    def source_version(self, name: str, file: str) -> str:
        """Version of a file beside a block's brief."""
        return version_of(self.sources(name)[file].read_bytes())

    def add_file(self, name: str, file: str, data: bytes, *, expected: str | None) -> str:
        """Put a file beside a block's brief; return its version.

        Parameters
        ----------
        name : str
            Of the block.
        file : str
            Of the file.
        data : bytes
            Its content.
        expected : str or None
            Version that is written over; None for a file that is not there yet.

        Raises
        ------
        ChangedError
            If another one lies there by now; carries its version, "" when none does.
        InputError
            If the name is not fit.
        """
        fit_file_name(file)
        path = self.block(name) / file
        if not self.holds(path):
            raise InputError("file", repr(file), "a file inside the estate's folder")
        with self._writing:
            current = version_of(path.read_bytes()) if path.is_file() else None
            if current not in {expected, version_of(data)}:
                raise ChangedError(current or "")
            write_whole(path, data)
        return version_of(data)

    def files(self, name: str) -> dict[str, Path]:
        """Files of a block's plan by name; none before it was planned."""
        folder = self.folder / PLANS / self.block(name).name
        if not folder.is_dir():
            return {}
        return {
            path.name: path
            for path in sorted(folder.iterdir())
            if path.is_file() and self.holds(path)
        }

    def _block_folders(self) -> dict[str, Path]:
        folder = self.folder / BLOCKS
        if not folder.is_dir():
            return {}
        return {
            path.name: path
            for path in folder.iterdir()
            if (path / BRIEF_FILE).is_file() and self.holds(path / BRIEF_FILE)
        }


def fit_file_name(file: str) -> None:
    """Refuse a name that is no plain name of a file.

    Raises
    ------
    InputError
        With what is wrong.
    """
    if not _FILE_NAME.fullmatch(file) or file.endswith("."):
        raise InputError("file", repr(file), "a plain file name such as boundary.gpx")


def write_whole(path: Path, data: bytes) -> None:
    """Write a file whole or not at all, and on the disk before it takes its place."""
    staged = path.with_name(f".{path.name}.new")
    staged.unlink(missing_ok=True)  # left by a run that ended, or a link put there
    with staged.open("xb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
    staged.replace(path)


def _stored(data: bytes) -> StoredBrief:
    return StoredBrief(decode_text(data, BRIEF_FILE), version_of(data))


def version_of(data: bytes) -> str:
    """Return the version of exactly these bytes."""
    return hashlib.sha256(data).hexdigest()[:32]
