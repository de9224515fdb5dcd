"""The packed folder: each member is hashed as it is written, names are safe everywhere, nothing is there twice."""

from __future__ import annotations

import hashlib
import re
import unicodedata
import zipfile
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import IO, Final

_UNSAFE: Final = re.compile(r"[^A-Za-z0-9._-]+")
_RESERVED: Final = frozenset(
    {"CON", "PRN", "AUX", "NUL", *(f"{port}{n}" for port in ("COM", "LPT") for n in range(10))}
)
"""Names of devices: Windows takes no file of such a name, whatever its ending."""

_LONGEST: Final = 80
_PIECE_BYTES: Final = 1 << 20
_DAY: Final = (1980, 1, 1, 0, 0, 0)
"""Members carry no time of their own: the same evidence gives the same file."""


def safe_name(text: str) -> str:
    """A name that every file system takes: letters without accents, digits, dots and hyphens, no dot at its start.

    >>> safe_name("LND 2024/117 (översikt).pdf")
    'LND-2024-117-oversikt-.pdf'
    """
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    name = _UNSAFE.sub("-", plain).strip("-").lstrip("-.") or "file"
    if name.partition(".")[0].upper() in _RESERVED:
        name = f"_{name}"
    if len(name) <= _LONGEST:
        return name
    stem, dot, ending = name.rpartition(".")
    return f"{stem[: _LONGEST - len(ending) - 1]}.{ending}" if dot and len(ending) < 8 else name[:_LONGEST]


class Packed:
    """A ZIP that is being written. hashes: by the name of a member, in the order in which they came."""

    def __init__(self, file: IO[bytes]) -> None:
        self._zip = zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, allowZip64=True)
        self.hashes: dict[str, str] = {}
        self._taken: set[str] = set()

    def name_for(self, folder: str, text: str) -> str:
        """A free name of a member, made from a text."""
        name = f"{folder}/{safe_name(text)}" if folder else safe_name(text)
        stem, dot, ending = name.rpartition(".")
        if not dot:
            stem, ending = name, ""
        number = 1
        while name.lower() in self._taken:
            number += 1
            name = f"{stem}-{number}{dot}{ending}"
        return name

    def add(self, name: str, content: bytes | Iterable[bytes]) -> str:
        """Write a member; its hash."""
        with self.writing(name) as write:
            for piece in (content,) if isinstance(content, bytes) else content:
                write(piece)
        return self.hashes[name]

    @contextmanager
    def writing(self, name: str) -> Iterator[Callable[[bytes], None]]:
        """A member that is written piece by piece."""
        if name.lower() in self._taken:
            raise ValueError(f"{name} is in the bundle already")
        self._taken.add(name.lower())
        digest = hashlib.sha256()
        info = zipfile.ZipInfo(name, _DAY)
        info.compress_type = zipfile.ZIP_DEFLATED
        info.external_attr = 0o644 << 16
        with self._zip.open(info, "w", force_zip64=True) as member:

            def write(piece: bytes) -> None:
                digest.update(piece)
                member.write(piece)

            yield write
        self.hashes[name] = digest.hexdigest()

    def close(self) -> None:
        """Add the list of hashes, in the form that ``sha256sum -c`` reads, and end the file."""
        lines = "".join(f"{sha256}  {name}\n" for name, sha256 in sorted(self.hashes.items()))
        self.add("hashes.txt", lines.encode())
        self._zip.close()


def pieces(file: IO[bytes]) -> Iterator[bytes]:
    """The bytes of a file, a megabyte at a time."""
    while piece := file.read(_PIECE_BYTES):
        yield piece
