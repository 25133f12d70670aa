"""Open a file from outside so that a bad one gives one clear message, never a crash."""

import codecs
import difflib
import hashlib
import logging
import warnings
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from aanplant.errors import InputError

LARGEST_FILE_BYTES = 200_000_000
"""A field outline is a few kilobytes; above this a wrong file was given."""

_TALKATIVE = ("ezdxf", "pyogrio", "pyogrio._io", "fiona")
_BYTE_ORDER_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


def read_bytes_checked(path: Path) -> bytes:
    """Read a whole file.

    Parameters
    ----------
    path : Path
        File to read.

    Returns
    -------
    bytes
        Its content, never empty.

    Raises
    ------
    InputError
        If the file is missing, is a folder, is empty, is too large or may not be read.
    """
    where = path.name or str(path)
    try:
        if path.is_dir():
            raise InputError(where, "a folder", "a file")
        size = path.stat().st_size
        if size > LARGEST_FILE_BYTES:
            raise InputError(
                where,
                f"a file of {size / 1e6:.0f} MB",
                f"at most {LARGEST_FILE_BYTES / 1e6:.0f} MB",
            )
        data = path.read_bytes()
    except FileNotFoundError:
        raise InputError(where, f"no file at {path}", "a file that is there") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError(
            where, f"a file that can't be read ({reason})", "a readable file"
        ) from None
    if not data.strip():
        raise InputError(where, "an empty file", "a file with content")
    return data


def read_text_checked(path: Path) -> str:
    """Read a text file in UTF-8, UTF-16 or, as old programs write it, Windows-1252.

    Raises
    ------
    InputError
        As ``read_bytes_checked``, and if the content is no text.
    """
    return decode_text(read_bytes_checked(path), path.name)


def decode_text(data: bytes, where: str) -> str:
    """Turn bytes into text, without its byte order mark.

    Raises
    ------
    InputError
        If the bytes are no text.
    """
    marked = [encoding for mark, encoding in _BYTE_ORDER_MARKS if data.startswith(mark)]
    try:
        text = data.decode(marked[0] if marked else "utf-8")
    except UnicodeDecodeError:
        text = "\0" if marked else data.decode("cp1252", errors="replace")
    if "\0" in text:
        raise InputError(where, "binary data", "a text file")
    return text


def sha256_of(path: Path) -> str:
    """Return the SHA-256 of a file's content in hexadecimal.

    Raises
    ------
    InputError
        As ``read_bytes_checked``.
    """
    return hashlib.sha256(read_bytes_checked(path)).hexdigest()


@contextmanager
def broken_files_refused(where: str, expected: str) -> Iterator[None]:
    """Turn whatever a library raises on a broken file into one ``InputError``.

    The libraries' own warnings and log lines are kept off the screen meanwhile.

    Parameters
    ----------
    where : str
        File name.
    expected : str
        What a sound file would be, such as "a GeoPackage".

    Raises
    ------
    InputError
        If the library failed, with its first line of explanation.
    """
    loggers = [logging.getLogger(name) for name in _TALKATIVE]
    levels = [logger.level for logger in loggers]
    for logger in loggers:
        logger.setLevel(logging.CRITICAL + 1)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    except InputError:
        raise
    except Exception as error:
        # Readers of foreign formats raise nearly anything on a cut-off file; a person
        # can act on the file's name only, so the kind of error is of no use here.
        lines = str(error).strip().splitlines() or [type(error).__name__]
        raise InputError(
            where, f"a file that is damaged or cut off ({lines[0][:200]})", expected
        ) from error
    finally:
        for logger, level in zip(loggers, levels, strict=True):
            logger.setLevel(level)


def did_you_mean(word: str, known: Iterable[str], *, cutoff: float = 0.6) -> str | None:
    """Return the known word most like ``word``, None when nothing is near."""
    near = difflib.get_close_matches(word, list(known), n=1, cutoff=cutoff)
    return near[0] if near else None


def one_of(word: str, known: Iterable[str]) -> str:
    """Say which words are known, and which of them was probably meant."""
    words = list(known)
    listed = f"one of {', '.join(words)}"
    near = did_you_mean(word, words)
    return f"{near!r}? ({listed})" if near else listed
