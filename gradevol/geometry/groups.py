"""Groups of things that are linked."""

import numpy as np

from gradevol.ground.arrays import IntArray


def label_groups(count: int, pairs: IntArray) -> IntArray:
    """Least member of the group of each of `count` things, linked by (m, 2) pairs."""
    linked = np.unique(pairs)
    if len(linked) < count:  # the others are groups by themselves
        label = np.arange(count)
        label[linked] = linked[label_groups(len(linked), np.searchsorted(linked, pairs))]
        return label
    label = np.arange(count)
    while True:
        low = np.minimum(label[pairs[:, 0]], label[pairs[:, 1]])
        before = label.copy()
        np.minimum.at(label, pairs[:, 0], low)
        np.minimum.at(label, pairs[:, 1], low)
        label = label[label]
        if np.array_equal(label, before):
            return label
