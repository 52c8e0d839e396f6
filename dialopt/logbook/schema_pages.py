"""The pages of a logbook file that say which tables there are and where each begins.

By the published format of SQLite's files (https://www.sqlite.org/fileformat2.html, memory): page 1 starts with a header
of 100 bytes and is the root of the tree that holds the schema. Without these pages nothing else can be found.
"""

from __future__ import annotations

from pathlib import Path

PAGE = 4096
"""Size of a page, bytes, in every logbook."""
_INNER = 5
_VALID_FOR = slice(92, 96)
"""Where the header says for which state of the file its number of pages holds; else the file's size counts."""


def lend(copy: Path, damaged: Path) -> None:
    """Writes the copy's schema pages into the damaged file, in the same places. Raises OSError."""
    data = copy.read_bytes()
    with damaged.open("r+b") as file:
        for number in numbers(data):
            page = bytearray(data[(number - 1) * PAGE : number * PAGE])
            if number == 1:
                page[_VALID_FOR] = bytes(4)
            file.seek((number - 1) * PAGE)
            file.write(page)


def numbers(data: bytes) -> set[int]:
    """The numbers of the pages that the tree of page 1 consists of; each entry fits its page."""
    found, left = set[int](), [1]
    while left:
        number = left.pop()
        page = data[(number - 1) * PAGE : number * PAGE]
        if number in found or len(page) < PAGE:
            continue
        found.add(number)
        start = 100 if number == 1 else 0
        if page[start] != _INNER:
            continue
        cells = int.from_bytes(page[start + 3 : start + 5], "big")
        places = [start + 8]  # the rightmost child; each cell names the one to its left
        for cell in range(cells):
            pointer = start + 12 + 2 * cell
            places.append(int.from_bytes(page[pointer : pointer + 2], "big"))
        left += [int.from_bytes(page[place : place + 4], "big") for place in places]
    return found
