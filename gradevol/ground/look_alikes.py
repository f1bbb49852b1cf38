"""Look-alikes of ASCII that taking a letter apart (NFKD) does not find."""

_DASHES, _QUOTES, _DOUBLE = "‐‑‒–—−", "‘’‚′", "“”„«»″"
LOOK_ALIKES = (
    dict.fromkeys(_DASHES, "-")
    | dict.fromkeys(_QUOTES, "'")
    | dict.fromkeys(_DOUBLE, '"')
    | {"×": "x", "⁄": "/", "ł": "l", "Ł": "L", "đ": "d", "Đ": "D", "€": "EUR"}
)
