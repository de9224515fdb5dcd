"""Compound files, the container of Outlook mails and older Office documents, by the published [MS-CFB] (from memory):
version 3, sectors of 512 bytes, one folder deep, all contents in the mini stream.
"""

from __future__ import annotations

import struct

SECTOR, MINI = 512, 64
FREE, END, FAT = 0xFFFFFFFF, 0xFFFFFFFE, 0xFFFFFFFD
STORAGE, STREAM, ROOT = 1, 2, 5


def compound(streams: dict[str, bytes]) -> bytes:
    """A file with these streams, each shorter than 4096 bytes."""
    mini, starts = b"", {}
    for name, data in streams.items():
        starts[name] = len(mini) // MINI
        mini += data + b"\0" * (-len(data) % MINI)
    directory = _directory(streams, starts, len(mini))
    mini_fat = _mini_fat(streams)
    places = {"directory": directory, "mini_fat": mini_fat, "mini": mini + b"\0" * (-len(mini) % SECTOR)}
    fat, first, body = [FAT], {}, b""
    for kind, data in places.items():
        count = len(data) // SECTOR
        first[kind] = len(fat)
        fat += [len(fat) + n + 1 for n in range(count - 1)] + [END]
        body += data
    return _header(first, len(mini_fat) // SECTOR) + _numbers(fat) + body


def _numbers(entries: list[int]) -> bytes:
    """Whole sectors of numbers, the rest of them free."""
    entries = entries + [FREE] * (-len(entries) % (SECTOR // 4))
    return struct.pack(f"<{len(entries)}I", *entries)


def _mini_fat(streams: dict[str, bytes]) -> bytes:
    entries: list[int] = []
    for data in streams.values():
        count = -(-len(data) // MINI)
        entries += [len(entries) + n + 1 for n in range(count - 1)] + [END]
    return _numbers(entries)


def _header(first: dict[str, int], mini_sectors: int) -> bytes:
    head = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(16) + struct.pack("<HHHHH", 0x3E, 3, 0xFFFE, 9, 6) + bytes(6)
    head += struct.pack("<IIIIIIIIII", 0, 1, first["directory"], 0, 4096, first["mini_fat"], mini_sectors, END, 0, 0)
    return head + struct.pack("<108I", *[FREE] * 108)


def _directory(streams: dict[str, bytes], starts: dict[str, int], mini_bytes: int) -> bytes:
    """The root and its children, which stand in a row as each other's right neighbours; sorted as the format wants."""
    names = sorted(streams, key=lambda name: (len(name), name.upper()))
    # The mini stream stands after one sector of the allocation table, the directory and the table of the mini stream.
    entries = -(-(len(names) + 1) // 4)
    mini_start = 1 + entries + len(_mini_fat(streams)) // SECTOR
    made = _entry("Root Entry", ROOT, child=1 if names else FREE, start=mini_start, size=mini_bytes)
    for number, name in enumerate(names, 1):
        right = number + 1 if number < len(names) else FREE
        made += _entry(name, STREAM, right=right, start=starts[name], size=len(streams[name]))
    return made + _entry("", 0) * (-(len(names) + 1) % 4)


def _entry(name: str, kind: int, *, right: int = FREE, child: int = FREE, start: int = 0, size: int = 0) -> bytes:
    coded = name.encode("utf-16-le")
    length = len(coded) + 2 if name else 0
    return (
        coded.ljust(64, b"\0") + struct.pack("<HBBIII", length, kind, 1, FREE, right, child) + bytes(36)
        + struct.pack("<IQ", start, size)
    )  # fmt: skip


def outlook_mail(subject: str = "Consent", body: str = "The owner agrees.") -> bytes:
    """A mail by the published [MS-OXMSG] (from memory): a head of 32 bytes and a row of 16 for each property."""
    texts = {0x0037: subject, 0x1000: body, 0x0C1A: "Zuzanna Wolk"}
    rows, streams = b"", {}
    for tag, text in texts.items():
        data = text.encode("utf-16-le")
        rows += struct.pack("<HHIII", 0x001F, tag, 6, len(data) + 2, 0)
        streams[f"__substg1.0_{tag:04X}001F"] = data
    return compound({"__properties_version1.0": bytes(32) + rows, **streams})
