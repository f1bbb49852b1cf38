"""The account: a table that adds up, each row with what it rests on."""

from gradevol.after.account import KEYS, PARTS, Row
from gradevol.answer.reconciled import Reconciled
from gradevol.answer.rounding import COINS, balance
from gradevol.answer.said.amounts import say_amount, say_sigma
from gradevol.answer.said.evidence import say_evidence
from gradevol.answer.statement import Figure, Statement, Topic, Weight, words

#: What a row is called where it took concrete, and where it gave some.
LABELS = {
    "ticketed": ("Ticketed", "Ticketed"),
    "yield": ("Yield short", "Yield over"),
    "returned": ("Returned", "Returned"),
    "small_pours": ("Small pours", "Small pours"),
    "neat": ("As drawn", "As drawn"),
    "base": ("Base low", "Base high"),
    "top": ("Top high", "Top low"),
    "edges": ("Forms and edges", "Forms and edges"),
    "spill": ("Spill and waste", "Spill and waste"),
    "unresolved": ("Unresolved", "Unresolved"),
}
#: Rows as they are read: from what was drawn to what was ticketed.
READ = (
    *("neat", "base", "top", "edges", "spill", "small_pours", "returned", "yield", "unresolved"),
    "ticketed",
)
#: What each basis is called.
BASES = {
    "measured": "measured",
    "stated": "on paper",
    "assumed": "assumed",
    "rest": "the rest",
}


def name_row(row: Row) -> str:
    """Name a row."""
    return LABELS[row.key][row.volume < 0]


def tell_account(done: Reconciled) -> tuple[Topic, ...]:
    """Tell the account: a table that adds up."""
    volume = done.units.volume
    columns = (
        *("row", f"volume_{volume}", f"sigma_{volume}", "cost", "basis", "evidence"),
        *(f"likely_{volume}", f"likely_sigma_{volume}"),
    )
    told = tuple(_tell_row(number, row, done) for number, row in enumerate(done.found.account.rows))
    title = f"Where the {'cubic metres' if done.units.is_metric else 'yards'} went"
    return (Topic("account", title, "Account", told, columns),)


def balance_rows(done: Reconciled, decimals: int) -> dict[str, float]:
    """Round each row's volume, in the job's unit, so that they add up: by the row's key."""
    total, *parts = (done.units.to_volume(row.volume) for row in done.found.account.rows)
    return dict(zip(KEYS, balance(total, parts, decimals), strict=True))


def balance_likely(done: Reconciled, decimals: int) -> dict[str, float]:
    """Round each row's likely volume so that they too add up to what was ticketed: by its key."""
    parts = map(done.units.to_volume, done.found.account.likely.volume.tolist())
    whole = balance_rows(done, decimals)["ticketed"]
    return dict(zip(PARTS, balance(whole, list(parts), decimals)[1:], strict=True))


def say_balance(done: Reconciled) -> dict[str, str]:
    """Say each row's volume to the hundredth, without a unit, such that the column adds up."""
    return {key: f"{value:z.2f}" for key, value in balance_rows(done, 2).items()}


def price_rows(done: Reconciled) -> dict[str, float]:
    """What each row comes to, such that the column adds up; nothing without a contract price."""
    if done.costs is None:
        return {}
    total, *parts = (done.price(row.volume) or 0.0 for row in done.found.account.rows)
    return dict(zip(KEYS, balance(total, parts, COINS), strict=True))


def _tell_row(number: int, row: Row, done: Reconciled) -> Statement:
    units, cost = done.units, price_rows(done).get(row.key)
    likely = done.found.account.likely
    part = KEYS.index(row.key) - 1
    cells = (
        row.key,
        f"{balance_rows(done, 3)[row.key]:z.3f}",
        f"{units.to_volume(row.sigma):.3f}",
        "" if cost is None else f"{cost:z.2f}",
        row.basis,
        str(say_evidence(row, done)),
        f"{balance_likely(done, 3)[row.key]:z.3f}" if part >= 0 else "",
        f"{units.to_volume(likely.sigma[part]):.3f}" if part >= 0 else "",
    )
    told = (
        ()
        if cost is None
        else (words("{}", Figure(say_amount(cost, done), f"rows.{number}.cost")),)
    )
    return Statement(
        f"rows.{row.key}",
        Weight.DECIDES if row.key in ("ticketed", "unresolved") else Weight.TELLS,
        name_row(row),
        say_row(row.key, done),
        long=say_evidence(row, done),
        details=(
            words("{}", Figure(say_sigma(row.sigma, done), f"rows.{number}.sigma"))
            if row.sigma
            else words(""),
            words("{}", BASES[row.basis]),
            *told,
        ),
        cells=cells,
    )


def say_row(key: str, done: Reconciled) -> Figure:
    """Say a row's volume as the table has it."""
    said = f"{say_balance(done)[key]} {done.units.volume_symbol}"
    return Figure(said, f"rows.{KEYS.index(key)}.volume")
