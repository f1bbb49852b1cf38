"""Shots taken one after the other that are all off the rest by one step, as by a bumped level."""

from dataclasses import dataclass

import numpy as np
import shapely

from gradevol.doubts.expectation import GROUNDS, find_spacing
from gradevol.doubts.spikes import in_thickenings
from gradevol.geometry.neighbours import find_neighbours, measure_apart
from gradevol.geometry.normal import find_student
from gradevol.ground.arrays import BoolArray, FloatArray, IntArray
from gradevol.ground.notes import Kind, Measure, Note, escape
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey

#: Fewer shots are no run: each may be suspect by itself.
_SHORTEST = 3
#: Of fewer shots none is told from the rest, and of more than the second those that were taken one
#: after the other count as one, at their mean.
_FEWEST, _MOST = 12, 600
#: So many count as one at most, and none beyond a step so many times the usual one.
_TOGETHER, _JUMP = 8, 1.8
#: Farther off the slab's extents shots are not compared, m.
_FAR = 15.0
#: Shots that stray from one line by less than this share of their spacing are on no plane.
_THIN = 0.05
#: No shot is held to be surer than this, m.
_LEAST_SIGMA = 0.001
#: Chance that a clean survey has a run told, if its ground were as it is taken to be; the factor on
#: Student's t is for ground that is not. Tried on invented bases.
_CHANCE, _FACTOR = 0.01, 1.15
#: A run that is off by less is grading, m; and one of whole rows or in one row, as a step or a
#: ridge may be, or among so many shots that ruts show, where it is off by less than the second.
#: Common practice, no source.
_LEAST, _LEAST_OF_ROWS = 0.015, 0.05
#: Rows explain a run where they explain all but so many times the variance of the ground.
_MORE = 12.0
#: Two steps from shot to shot go on along one row where the cosine between them is more than this.
_ALONG = 0.9


@dataclass(frozen=True, slots=True)
class _Run:
    """
    Shots (m,), one after the other, off the others by a step, m.

    How sure that is, 1 up; and whether whole rows, or a part of one, explain nearly as much.
    """

    shots: IntArray
    step: float
    sure: float
    is_of_rows: bool


def remark_on_runs(survey: Survey, slab: Slab, over: FloatArray) -> tuple[Note, ...]:
    """
    Remark on shots taken one after the other that are off the others by one step.

    Parameters
    ----------
    survey : Survey
    slab : Slab
        Shots in its thickenings, and far off it, are not compared.
    over : (n,) array of float
        Height of each shot over the design base, m.

    Returns
    -------
    tuple of Note
        Code ``run-step``, of the surest run.

    Notes
    -----
    Ground is what suspect shots are judged by: a plane, and what grows unlike it with distance, of
    the kind under which the shots are likeliest. A step of every run of shots is fitted beside it,
    by generalised least squares; where one shot or two explain more, those are left out first.
    """
    near = shapely.box(*slab.outline.bounds).buffer(_FAR)
    is_near = shapely.intersects_xy(near, *survey.points[:, :2].T)
    kept = np.flatnonzero(is_near & ~in_thickenings(survey.points[:, :2], slab))
    if len(kept) < _FEWEST or (held := _gather(survey.points[kept, :2])) is None:
        return ()
    count = np.bincount(held)
    is_dense = len(count) < len(kept)
    plan = np.column_stack([np.bincount(held, axis) / count for axis in survey.points[kept, :2].T])
    over = np.bincount(held, over[kept]) / count
    spacing = find_spacing(plan, find_neighbours(plan, 4))  # as suspect shots go by it
    across = np.linalg.svd(plan - plan.mean(axis=0), compute_uv=False)[1] / len(plan) ** 0.5
    if spacing == 0 or across <= _THIN * spacing:
        return ()
    weights = _weigh_ground(plan / spacing, over)
    orders = _list_orders(plan, spacing)
    chance, sigma = _CHANCE / len(orders), max(survey.sigma, _LEAST_SIGMA)
    found = [
        run
        for order in orders
        if (run := _find_run(weights, over, order, plan, sigma=sigma, chance=chance))
        and abs(run.step)
        >= (_LEAST_OF_ROWS if is_dense or _may_be_ground(run, plan, spacing) else _LEAST)
    ]
    if not found:
        return ()
    # where shots are one run in several orders, they are named in the file's, the first
    run = max(found, key=lambda each: round(each.sure, 6))
    names = [survey.name(int(at)) for each in run.shots for at in kept[held == each]]
    moved = "instrument bumped, the rod's height or the bench mark changed"
    if survey.depths is not None:
        moved = "string or the straightedge moved"
    text = (
        f"{len(names)} shots taken one after the other ({escape(names[0])} to {escape(names[-1])}) "
        f"stand {{}} {'above' if run.step > 0 else 'below'} what is around them: reshoot two of "
        f"them and two others before you cut or order. Was the {moved}, or the base reworked "
        "in between? If the base really steps there, that is fine."
    )
    measures = (Measure(abs(run.step), Kind.LEVEL),)
    return (Note("run-step", text, measures, points=tuple(names)),)


def _gather(plan: FloatArray) -> IntArray | None:
    """
    Take shots together that were taken one after the other, where they are more than `_MOST`.

    Returns
    -------
    (n,) array of int or None
        With which each is taken, from 0 on in their order; None where they are too many.
    """
    steps = np.hypot(*np.diff(plan, axis=0).T)
    begins = np.concatenate([[0], np.flatnonzero(steps > _JUMP * np.median(steps)) + 1])
    within = np.arange(len(plan)) - np.repeat(begins, np.diff([*begins, len(plan)]))
    least = -(-len(plan) // _MOST)
    for size in range(least, _TOGETHER + 1):
        is_first = within % size == 0
        if is_first.sum() <= _MOST:
            return np.cumsum(is_first) - 1
    return None


def _list_orders(plan: FloatArray, spacing: float) -> list[IntArray]:
    """
    List the orders in which shots may have been taken.

    That of the file; of a field sheet, whose rows all run one way, also to and fro, and by columns.
    """
    rows = np.split(np.arange(len(plan)), _find_turns(plan))
    ways = np.array([plan[row[-1]] - plan[row[0]] for row in rows])
    lengths = np.array([np.hypot(*np.diff(plan[row], axis=0).T).sum() for row in rows])
    is_one_way = ((ways[1:] * ways[:-1]).sum(axis=1) > 0).all()
    if len(rows) < 2 or not is_one_way or (np.hypot(*ways.T) < _ALONG * lengths).any():
        return [np.concatenate(rows)]
    along = (plan - plan[rows[0][0]]) @ ways[0] / float(np.hypot(*ways[0]))
    columns = np.round(along / (spacing / 2))
    downs = [np.flatnonzero(columns == each) for each in np.unique(columns)]
    return [
        np.concatenate([line[:: 1 - 2 * (at % 2) * is_fro] for at, line in enumerate(lines)])
        for lines in (rows, downs)
        for is_fro in (0, 1)
    ]


def _goes_on(plan: FloatArray) -> BoolArray:
    """Whether the step before each shot goes on in the one after it; of the outermost, True."""
    steps = np.diff(plan, axis=0)
    steps /= np.maximum(np.hypot(*steps.T), 1e-9)[:, None]
    inner = (steps[1:] * steps[:-1]).sum(axis=1) > _ALONG
    return np.concatenate([[True], inner, [True]])


def _find_turns(plan: FloatArray) -> IntArray:
    """Which shots begin another row: rows lie before and after, and neither goes on to there."""
    goes_on, at = _goes_on(plan), np.arange(2, len(plan) - 1)
    return at[goes_on[at - 2] & ~goes_on[at - 1] & ~goes_on[at] & goes_on[at + 1]]


def _mark_rows(plan: FloatArray) -> BoolArray:
    """Whether the run from one shot (down) up to another (across) is of whole rows, or in one."""
    is_end = np.zeros(len(plan) + 1, bool)
    is_end[[0, len(plan), *_find_turns(plan)]] = True
    bends = np.concatenate([[0], np.cumsum(~_goes_on(plan))])  # before each shot
    is_in_one = bends[[0, *range(len(plan))]] <= bends[[*range(1, len(plan) + 1), -1], None]
    return is_in_one | (is_end & is_end[:, None])


def _may_be_ground(run: _Run, plan: FloatArray, spacing: float) -> bool:
    """Whether a run follows the rows, with no other shots among its own."""
    others = np.delete(np.arange(len(plan)), run.shots)
    away = measure_apart(plan[run.shots], plan[others]).min(axis=1)
    is_among = away < spacing / 2
    return run.is_of_rows and int(is_among.sum()) < _SHORTEST


def _weigh_ground(plan: FloatArray, over: FloatArray) -> FloatArray:
    """
    Inverse of how the ground varies about a plane, by the likeliest of its kinds.

    Parameters
    ----------
    plan : (n, 2) array of float
        In units of the spacing.
    over : (n,) array of float

    Returns
    -------
    (n, n) array of float
        Up to a factor; a plane has no weight in it.
    """
    apart, count = measure_apart(plan, plan), len(plan)
    plane = np.linalg.qr(np.column_stack([np.ones(count), plan - plan.mean(axis=0)]))[0]
    rest = over - plane @ (plane.T @ over)
    rise = {power: apart**power for power, _ in GROUNDS}
    likeliest: tuple[float, FloatArray] | None = None
    for power, nugget in GROUNDS:
        varies = nugget * np.eye(count) - rise[power]
        # what of it is of planes is put at one: the rest is positive, by the nugget at least
        half = varies @ plane
        half -= plane @ (plane.T @ half + np.eye(3)) / 2
        both = plane @ half.T
        varies -= both + both.T
        # with the shots as a last row one root tells its volume and what is left of them
        most = 2 * float(rest @ rest) / nugget + 1
        root = np.linalg.cholesky(np.block([[varies, rest[:, None]], [rest, np.array(most)]]))
        left = float(np.square(root[-1, :-1]).sum())
        unlike = (count - 3) * np.log(max(left, 1e-12)) + 2 * np.log(np.diag(root)[:-1]).sum()
        if likeliest is None or unlike < likeliest[0]:
            likeliest = float(unlike), varies
    assert likeliest is not None
    return np.asarray(np.linalg.inv(likeliest[1]) - plane @ plane.T)


def _find_run(
    weights: FloatArray,
    over: FloatArray,
    order: IntArray,
    plan: FloatArray,
    *,
    sigma: float,
    chance: float,
) -> _Run | None:
    """The surest run of an order; None where none is sure, or single shots are surer."""
    weights, over, total = weights[np.ix_(order, order)], over[order], len(order)
    while len(over) > total - max(1, total // 20):
        count = len(over)
        free = count - 4
        limit = _FACTOR * find_student(free - 1 + free % 2, chance / (count * (count - 1)))
        pull = np.concatenate([[0], np.cumsum(weights @ over)])
        firm = np.zeros((count + 1, count + 1))
        firm[1:, 1:] = weights.cumsum(axis=0).cumsum(axis=1)
        own = np.diag(firm)
        # of a run from one end (down) to the next (across)
        pulls = pull - pull[:, None]
        firms = np.maximum(own + own[:, None] - 2 * firm, 1e-9 * own.max())
        first, last = np.triu_indices(count + 1, 1)
        gains = pulls[first, last] ** 2 / firms[first, last]
        best = int(gains.argmax())
        start, stop = int(first[best]), int(last[best])
        left = max((float(over @ weights @ over) - float(gains[best])) / free, sigma**2)
        sure = float(np.sqrt(gains[best] / left)) / limit
        if sure < 1:
            return None
        if min(stop - start, count - stop + start) >= _SHORTEST:
            step = float(pulls[start, stop] / firms[start, stop])
            inside = np.arange(start, stop)
            if len(inside) > count / 2 and (start == 0 or stop == count):
                inside, step = np.setdiff1d(np.arange(count), inside), -step
            by_rows = float(gains[_mark_rows(plan[order])[first, last]].max())
            return _Run(order[inside], step, sure, by_rows > gains[best] - _MORE * left)
        out = np.arange(start, stop)
        if len(out) >= _SHORTEST:
            out = np.setdiff1d(np.arange(count), out)
        for at in out:
            weights = weights - np.outer(weights[:, at], weights[at]) / weights[at, at]
        inside = np.setdiff1d(np.arange(count), out)
        weights, over, order = weights[np.ix_(inside, inside)], over[inside], order[inside]
    return None
