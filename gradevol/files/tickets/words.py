"""Words on tickets: of loads that were cancelled, sent back, or went elsewhere in part."""

import re

from gradevol.ground.units import VOLUMES

#: A load that never came, where its words begin so.
CANCELLED = re.compile(
    r"\W*(?:cancel|rejected\b|refused\b|not\s+(?:poured|used|delivered|placed)\b"
    r"|turned\s+(?:away|back)\b|void(?:ed)?\W*$)(?!\s*[~\d])",  # rejected 2 yd: a part of it
    re.IGNORECASE,
)
_BACK = r"(?:returned|(?:sent|went|gone|taken|took)\s+back|back\s+to\s+(?:the\s+)?plant)"
#: The same as hands shorten it: beside an amount alone, for a ret. wall is none.
_RET = r"(?:ret|retd|ret'd|rtn|rtd|rtrn)\b(?!\.?\s*wall)\.?"
_ONLY_BACK = r"back(?=\s*(?:[.,;()]|est|to\b|$))"
#: What may tell of one, and of a part that went back.
MENTIONED = re.compile(r"\b(?:cancel|void(?:ed)?\W*$|reject|refused\b)", re.IGNORECASE)
SENT_BACK = re.compile(
    rf"{_BACK}|\b(?:sent|took|taken)\b.*\bback\b|\b{_RET}\W*\d|\d\W*(?:{_RET}|{_ONLY_BACK})",
    re.IGNORECASE,
)
#: An amount with its unit: a bare number beside these words may count trucks or minutes.
_AMOUNT = (
    r"(?<![\d.,/])(?:(?:\d+[ -])?\d+\s*/\s*[1-9]\d*|\d+(?:[.,]\d+)?|[.,]\d+)"
    rf"\s*(?:{'|'.join(VOLUMES)})(?!\w)"
)
#: ``0.2 yd est. returned``, ``went back with 1 1/2 yd``: what a note says went back.
RETURNED = re.compile(
    rf"(?P<before>{_AMOUNT})\.?\s*(?:\(?est\.?\)?\s*)?(?:was\s+|were\s+)?"
    rf"(?:{_BACK}|{_RET}|{_ONLY_BACK})"
    rf"|\b(?:{_BACK}|{_RET})\W*(?:with\s+)?(?:about\s+|est\.?\s+)?(?P<after>{_AMOUNT})"
    rf"|\b(?:sent|took|taken)\s+(?P<between>{_AMOUNT})\.?\s+back\b",
    re.IGNORECASE,
)
#: ``1 yd to the driveway``, ``dumped 1/2 yd``: an amount that may not have gone into the slab.
_ABOARD = r"(?:in|on)\s+(?:the\s+)?(?:truck|drum|mixer|chute)\b"  # 9 yd on truck 12 is none
_LOST = (
    r"wast(?:ed?|ing)|spil(?:led|lt|l)|dump(?:ed)?|wash(?:ed)?\s?-?out|lost|left\s?-?over|gave|given"
    rf"|left\s+with|(?:left|kept|still)\s+(?:{_ABOARD}|(?=[~.\d].*?{_ABOARD}))|credit(?:ed)?"
)
_AWAY = rf"{_LOST}|(?:in)?to\s+(?!go\b|come\b|call\b|order\b|the\s+slab\b|slab\b)\w"
#: The same, and of these what no other place of the load explains: ``1/2 yd left in the truck``.
ASTRAY, LOST = (
    re.compile(
        rf"(?P<before>{_AMOUNT})(?!\s*/).*\b(?:{away})|\b(?:{away}).*?(?P<after>{_AMOUNT})(?!\s*/)",
        re.IGNORECASE,
    )
    for away in (_AWAY, _LOST)
)
#: ``called 5 yd at 22:40``: what was called at the plant, which counts under its heading alone.
#: Others call too, and what was called off never comes.
_OTHERS = ("plant", "dispatch", "dispatcher", "inspector", "office", "driver")
_CALLED = "".join(rf"(?<!\b{who}\s)" for who in _OTHERS) + r"\bcalled\b(?!\s+(?:off|back)\b)"
CALLED = re.compile(rf"{_CALLED}.*?{_AMOUNT}|{_AMOUNT}.*{_CALLED}", re.IGNORECASE)
