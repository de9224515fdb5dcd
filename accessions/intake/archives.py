"""Zip archives, opened without trusting what they say of themselves."""

from __future__ import annotations

import struct
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import IO, Final

from accessions.intake import limits
from accessions.intake.problems import refusal, shown

_LOCAL_HEADER: Final = struct.Struct("<4s5H3I2H")
_ENCRYPTED: Final = 0x1


class Archive:
    """A zip file whose members are read in bounded pieces.

    Sizes written in an archive may lie, so members are unpacked here, and refused as soon as they outgrow what they
    said. Use as a context manager.
    """

    def __init__(self, path: Path) -> None:
        """Open the archive.

        Raises:
            FileProblems: it is cut short, encrypted, too large, or has two members of one name.
        """
        self.file = path.name
        try:
            self._zip = zipfile.ZipFile(path)
        except (zipfile.BadZipFile, NotImplementedError, EOFError, struct.error, ValueError) as error:
            raise refusal(
                self.file, "", "the archive cannot be opened; it looks cut short or damaged",
                "Copy or download the file again, or save it anew from the program that made it.",
            ) from error  # fmt: skip
        try:
            self._members = _checked_members(self.file, self._zip.infolist())
        except BaseException:
            self._zip.close()
            raise

    def __enter__(self) -> Archive:
        return self

    def __exit__(self, *exc: object) -> None:
        self._zip.close()

    @property
    def names(self) -> list[str]:
        """Members that are files, in the order of the archive."""
        return [name for name in self._members if not name.endswith("/")]

    def chunks(self, name: str) -> Iterator[bytes]:
        """The bytes of a member, at most ``CHUNK_BYTES`` at a time.

        Raises:
            FileProblems: the member is damaged, or longer than the archive says.
        """
        info = self._members[name]
        stream = self._zip.fp
        assert stream is not None  # an open archive has its file; closed ones are a programming error
        try:
            yield from _inflated(stream, info)
        except (zlib.error, struct.error, EOFError, _NotAsStated) as error:
            raise refusal(
                self.file, f"member {shown(name)}", "the member is damaged, cut short or not as long as it says",
                "Copy or download the file again, or save it anew from the program that made it.",
            ) from error  # fmt: skip

    def read(self, name: str, max_bytes: int) -> bytes:
        """All bytes of a member.

        Raises:
            FileProblems: it is damaged or longer than ``max_bytes``.
        """
        size = self._members[name].file_size
        if size > max_bytes:
            raise refusal(
                self.file,
                f"member {shown(name)}",
                f"it is {size:,} bytes long unpacked",
                f"At most {max_bytes:,} bytes are read of such a member.",
            )
        return b"".join(self.chunks(name))

    def copy(self, name: str, target: IO[bytes]) -> None:
        """Unpack a member into an open file."""
        for chunk in self.chunks(name):
            target.write(chunk)


class _NotAsStated(Exception):
    """A member does not have the size that the archive gives for it."""


def _checked_members(file: str, infos: list[zipfile.ZipInfo]) -> dict[str, zipfile.ZipInfo]:
    members = {info.filename: info for info in infos}
    if len(members) < len(infos):
        raise refusal(
            file, "", "the archive has two members of one name", "Pack it again with one member of each name."
        )
    if len(infos) > limits.MAX_ARCHIVE_MEMBERS:
        raise refusal(
            file, "", f"the archive has {len(infos):,} members", f"At most {limits.MAX_ARCHIVE_MEMBERS:,} are read."
        )
    if any(info.flag_bits & _ENCRYPTED for info in infos):
        raise refusal(file, "", "the archive is locked with a password", "Save it without a password.")
    if any(info.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED) for info in infos):
        raise refusal(
            file, "", "the archive is packed in an unusual way", "Pack it with the usual zip method (deflate)."
        )
    _refuse_bomb(file, infos)
    return members


def _refuse_bomb(file: str, infos: list[zipfile.ZipInfo]) -> None:
    unpacked = sum(info.file_size for info in infos)
    if unpacked > limits.MAX_ARCHIVE_BYTES:
        raise refusal(
            file,
            "",
            f"the archive would unpack to {unpacked:,} bytes",
            f"At most {limits.MAX_ARCHIVE_BYTES:,} bytes are unpacked; split the file.",
        )
    for info in infos:
        if info.file_size > max(limits.ARCHIVE_RATIO_FREE_BYTES, info.compress_size * limits.MAX_ARCHIVE_RATIO):
            raise refusal(
                file,
                f"member {shown(info.filename)}",
                f"{info.compress_size:,} bytes would unpack to {info.file_size:,} bytes",
                f"A member may grow {limits.MAX_ARCHIVE_RATIO} times at most; more is taken for an attack.",
            )


def _inflated(stream: IO[bytes], info: zipfile.ZipInfo) -> Iterator[bytes]:
    position = _start_of_data(stream, info)
    left_in, left_out = info.compress_size, info.file_size
    unpacker = zlib.decompressobj(-15) if info.compress_type == zipfile.ZIP_DEFLATED else None
    pending = b""
    checksum = 0
    while left_in or pending:
        if not pending:
            stream.seek(position)
            pending = stream.read(min(left_in, limits.CHUNK_BYTES))
            if not pending:
                raise EOFError
            position += len(pending)
            left_in -= len(pending)
        if unpacker is None:
            piece, pending = pending, b""
        else:
            piece = unpacker.decompress(pending, limits.CHUNK_BYTES)
            pending = unpacker.unconsumed_tail
            if not piece and unpacker.eof:
                break
        left_out -= len(piece)
        if left_out < 0:
            raise _NotAsStated
        checksum = zlib.crc32(piece, checksum)
        yield piece
    if left_out or checksum != info.CRC or (unpacker is not None and not unpacker.eof):
        raise _NotAsStated


def _start_of_data(stream: IO[bytes], info: zipfile.ZipInfo) -> int:
    """Where the packed bytes begin: after the local header, its name and extra field (zip application note, 4.3.7)."""
    stream.seek(info.header_offset)
    header = _LOCAL_HEADER.unpack(stream.read(_LOCAL_HEADER.size))
    if header[0] != b"PK\x03\x04":
        raise _NotAsStated
    return info.header_offset + _LOCAL_HEADER.size + int(header[9]) + int(header[10])
