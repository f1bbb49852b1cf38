"""Text messages: text folded into what any telephone takes, one character for each."""

import unicodedata

from gradevol.ground.look_alikes import LOOK_ALIKES

#: The basic set of GSM, 3GPP TS 23.038, without breaks of lines: of these a message takes 160, or
#: 306 in two parts; one character beyond them makes it 70.
BASIC = frozenset(
    "@£$¥èéùìòÇØøÅåΔ_ΦΓΛΩΠΨΣΘΞÆæßÉ !\"#¤%&'()*+,-./0123456789:;<=>?¡"
    "ABCDEFGHIJKLMNOPQRSTUVWXYZÄÖÑÜ§¿abcdefghijklmnopqrstuvwxyzäöñüà"
)
#: Brackets and the like count twice in GSM.
_PLAIN = str.maketrans(
    LOOK_ALIKES
    | {"~": "-", "^": "'", "`": "'", "\\": "/", "|": "/", "[": "(", "]": ")", "{": "(", "}": ")"}
)


def fold_text(text: str) -> str:
    """
    Fold text into characters of a plain text message.

    Returns
    -------
    str
        In one line: accents that the set lacks are taken off, what has no plain form is left out.
        Empty where no letter or digit remains.
    """
    said = []
    for letter in unicodedata.normalize("NFC", text):
        if letter in BASIC:
            said.append(letter)
        elif letter.isspace() or not letter.isprintable():
            said.append(" ")
        else:
            plain = unicodedata.normalize("NFKD", letter.translate(_PLAIN)).translate(_PLAIN)
            said.append("".join(part for part in plain if part in BASIC))
    folded = " ".join("".join(said).split())
    return folded if any(letter.isalnum() for letter in folded) else ""
