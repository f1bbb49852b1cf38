"""Invented surveys, and what is planned for them."""

from pathlib import Path

import numpy as np
import pytest

from gradevol.answer.said.next_shots import tell_next_shots
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey
from gradevol.uncertainty.interval import Interval
from gradevol.uncertainty.mixture import Mixture
from gradevol.uncertainty.next_shots import (
    plan_next_shots,
)
from tests.pads import see

SAMPLES = Path(__file__).parents[3] / "sample_surveys"


SLAB = Slab(np.array([[0, 0], [18, 0], [18, 12], [0, 12.0]]), (), 0.15, 0.131)


def told_of(result):
    """What is said of next shots, by the ends of its keys."""
    topics = tell_next_shots(result)
    return {said.key.partition(".")[2]: said for topic in topics for said in topic.statements}


def uneven(plan, size=0.012):
    return size * np.sin(plan[:, 0] / 1.7) * np.cos(plan[:, 1] / 2.1 + 0.4)


def invent(count=40, *, seed=1, size=0.012, west=0.0, east=18.0):
    rng = np.random.default_rng(seed)
    plan = rng.uniform([west, 0], [east, 12], (count, 2))
    level = uneven(plan, size) + 0.002 * rng.standard_normal(count)
    return Survey(
        np.column_stack([plan, level]),
        np.zeros(3),
        ids=tuple(str(number) for number in range(count)),
        sigma=0.002,
    )


def look(survey, slab=SLAB, *, top_sigma=0.0, **rest):
    seen = see(survey, slab, top_sigma=top_sigma)
    return plan_next_shots(
        seen.between, survey, slab, seen.interval, step=0.1, **rest
    ), seen.interval


@pytest.fixture(scope="session")
def sample(check_sample):
    return check_sample("apron/job.toml")


def interval_of(**spread):
    volume = Mixture.of_one(10.0, 1.0)
    parts = {"shots": 0.0, "between_shots": 0.0, "datum": 0.0, "top": 0.0, **spread}
    return Interval(0.9, 8.36, 11.64, **parts, stated=10.0, volume=volume)
