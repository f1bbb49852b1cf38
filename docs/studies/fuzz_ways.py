"""Ways in which files are damaged: each a function of the bytes and of a seeded chance."""

import random
import re
from collections.abc import Callable

#: Of a large file, numbers and words are looked for in so much, bytes.
_LOOKED_AT = 200_000
_NUMBER = re.compile(rb"-?\d+(?:[.,]\d+)?")
_WORD = re.compile(rb"[^\s,;<>\"]+|[,;<>\"]")


def flip_bits(raw: bytes, rng: random.Random) -> bytes:
    """Turn one to eight bits."""
    held = bytearray(raw)
    for _ in range(rng.randint(1, 8)):
        held[rng.randrange(len(held))] ^= 1 << rng.randrange(8)
    return bytes(held)


def cut_short(raw: bytes, rng: random.Random) -> bytes:
    """Keep a part from the beginning."""
    return raw[: rng.randrange(len(raw))]


def cut_out(raw: bytes, rng: random.Random) -> bytes:
    """Lose 1 to 200 bytes in the middle."""
    at = rng.randrange(len(raw))
    return raw[:at] + raw[at + rng.randint(1, 200) :]


def blank_block(raw: bytes, rng: random.Random) -> bytes:
    """Put noughts, ones or noise over 1 to 200 bytes."""
    at, size = rng.randrange(len(raw)), rng.randint(1, 200)
    block = rng.choice([b"\0" * size, b"\xff" * size, rng.randbytes(size)])
    return raw[:at] + block + raw[at + size :]


def swap_tokens(raw: bytes, rng: random.Random) -> bytes:
    """Put one word or mark in the place of another."""
    words = list(_WORD.finditer(raw[:_LOOKED_AT]))
    if not words:
        return flip_bits(raw, rng)
    at = rng.choice(words)
    return raw[: at.start()] + rng.choice(words)[0] + raw[at.end() :]


def spoil_number(raw: bytes, rng: random.Random) -> bytes:
    """Spoil one number: a digit, the point, the sign, the size."""
    found = list(_NUMBER.finditer(raw[:_LOOKED_AT]))
    if not found:
        return flip_bits(raw, rng)
    at = rng.choice(found)
    number = at[0]
    digit = rng.randrange(len(number))
    made = rng.choice(
        [
            number[:digit] + str(rng.randrange(10)).encode() + number[digit + 1 :],
            number[:digit] + number[digit + 1 :],
            number[:digit] + number[digit : digit + 1] + number[digit:],
            number[:digit] + number[digit : digit + 2][::-1] + number[digit + 2 :],
            number.replace(b".", b""),
            number.replace(b".", b","),
            b"-" + number,
            number + b"e9",
            rng.choice([b"nan", b"inf", b"", b"1e308", b"-9999", b"9" * 400, b"0", b"4-7"]),
        ]
    )
    return raw[: at.start()] + made + raw[at.end() :]


def recode(raw: bytes, rng: random.Random) -> bytes:
    """Write the text in another encoding, or with other line ends."""
    text = raw.decode("latin-1")
    ways: list[Callable[[], bytes]] = [
        lambda: text.encode("utf-16"),
        lambda: text.encode("utf-16-le"),
        lambda: text.encode("utf-8"),
        lambda: b"\xef\xbb\xbf" + raw,
        lambda: raw.replace(b"\n", b"\r\n"),
        lambda: raw.replace(b"\n", b"\r"),
        lambda: raw.replace(b".", "．".encode()),
        lambda: raw.replace(b".", b","),
        lambda: raw + b"\x1a",
    ]
    return rng.choice(ways)()


def repeat_line(raw: bytes, rng: random.Random) -> bytes:
    """Write a line twice."""
    lines = raw.splitlines(keepends=True)
    lines.insert(rng.randrange(len(lines) + 1), rng.choice(lines))
    return b"".join(lines)


def swap_lines(raw: bytes, rng: random.Random) -> bytes:
    """Write two lines in each other's place."""
    lines = raw.splitlines(keepends=True)
    at, other = rng.randrange(len(lines)), rng.randrange(len(lines))
    lines[at], lines[other] = lines[other], lines[at]
    return b"".join(lines)


def drop_line(raw: bytes, rng: random.Random) -> bytes:
    """Leave a line out."""
    lines = raw.splitlines(keepends=True)
    del lines[rng.randrange(len(lines))]
    return b"".join(lines)


WAYS = (
    *(flip_bits, cut_short, cut_out, blank_block, swap_tokens, spoil_number, spoil_number),
    *(recode, repeat_line, swap_lines, drop_line),
)
