"""Unpack a zip from outside without being harmed by it."""

import io
import stat
import zipfile
from pathlib import Path, PurePosixPath

from aanplant.errors import InputError
from aanplant.files.reading import broken_files_refused

LARGEST_UNPACKED_BYTES = 200_000_000
MOST_FILES = 1_000
GREATEST_RATIO = 200.0
"""Unpacked to packed size. A drawing in text packs 5 to 30 times, a bomb a thousand."""
RATIO_FREE_BYTES = 1_000_000
"""Below this no ratio can do harm: a small file of one repeated number is sound."""

_ENCRYPTED = 0x1
_PIECE_BYTES = 1 << 16


def unpack(data: bytes, folder: Path, where: str) -> tuple[Path, ...]:
    """Unpack a zip archive into a folder.

    Parameters
    ----------
    data : bytes
        The archive.
    folder : Path
        Empty folder that takes the files.
    where : str
        Name of the archive, for messages.

    Returns
    -------
    tuple of Path
        The files, in the archive's order.

    Raises
    ------
    InputError
        If the archive is damaged, encrypted, too large once unpacked, packed
        suspiciously tight, holds too many files or names a place outside the folder.
    """
    with (
        broken_files_refused(where, "a sound zip archive"),
        zipfile.ZipFile(io.BytesIO(data)) as archive,
    ):
        members = [member for member in archive.infolist() if not member.is_dir()]
        _check_members(members, where)
        return tuple(_unpack_member(archive, member, folder, where) for member in members)


def _check_members(members: list[zipfile.ZipInfo], where: str) -> None:
    if not members:
        raise InputError(where, "an empty zip archive", "an archive with one drawing in it")
    if len(members) > MOST_FILES:
        raise InputError(where, f"{len(members)} files in the archive", f"at most {MOST_FILES}")
    for member in members:
        name = PurePosixPath(member.filename.replace("\\", "/"))
        if name.is_absolute() or ".." in name.parts or ":" in member.filename:
            raise InputError(
                where,
                f"a file named {member.filename!r} in the archive",
                "names that stay inside the archive",
            )
        if stat.S_ISLNK(member.external_attr >> 16):
            raise InputError(where, f"a link, {member.filename!r}, in the archive", "plain files")
        if member.flag_bits & _ENCRYPTED:
            raise InputError(where, "an archive with a password", "an archive without one")
    _check_size(
        sum(member.file_size for member in members),
        sum(member.compress_size for member in members),
        where,
    )


def _check_size(unpacked: int, packed: int, where: str) -> None:
    if unpacked > LARGEST_UNPACKED_BYTES:
        raise InputError(
            where,
            f"an archive of {unpacked / 1e6:.0f} MB once unpacked",
            f"at most {LARGEST_UNPACKED_BYTES / 1e6:.0f} MB",
        )
    if unpacked > RATIO_FREE_BYTES and unpacked > GREATEST_RATIO * max(packed, 1):
        raise InputError(
            where,
            f"an archive packed {unpacked / max(packed, 1):.0f} times smaller",
            f"at most {GREATEST_RATIO:.0f} times; it looks made to fill the disk",
        )


def _unpack_member(
    archive: zipfile.ZipFile, member: zipfile.ZipInfo, folder: Path, where: str
) -> Path:
    target = folder.joinpath(*PurePosixPath(member.filename.replace("\\", "/")).parts)
    target.parent.mkdir(parents=True, exist_ok=True)
    written = 0
    with archive.open(member) as source, target.open("wb") as sink:
        while piece := source.read(_PIECE_BYTES):
            written += len(piece)
            if written > member.file_size:  # the stated size is a claim, not a fact
                raise InputError(where, "an archive that lies about its size", "a sound archive")
            sink.write(piece)
    return target
