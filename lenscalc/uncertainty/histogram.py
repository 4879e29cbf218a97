"""A histogram without ends: its bins widen with the distance from the middle, so that no value falls outside."""

from __future__ import annotations

import numpy as np

from lenscalc.quantities import FloatArray

BINS = 1 << 17


class Histogram:
    """Counts over the whole line, in bins of equal width of w = z/(1 + |z|), z = (y − middle)/scale.

    Within a bin the values are taken as spread evenly. A quantile is then off by less than its bin, 1.5e-5·(1 + |z|)²·scale wide: 1.4e-4 scales at
    |z| = 2, far below the noise of 10⁹ trials where the density is smooth. Memory is the same for any number of values.

    >>> h = Histogram(1.0, 1.0)
    >>> y = -np.log((np.arange(100_000) + 0.5) / 100_000)                # of an exponential law
    >>> h.add(np.bincount(h.bins(y - h.middle), minlength=BINS + 1), y.min(), y.max())
    >>> round(h.quantile(0.95), 4), [round(x, 3) for x in h.intervals(0.95)[1]]           # exact: −ln 0.05 = 2.9957
    (2.9957, [0.0, 2.996])
    """

    def __init__(self, middle: float, scale: float) -> None:
        self.middle, self.scale = middle, scale
        self.counts = np.zeros(BINS + 1, dtype=np.int64)  # one more for w = 1
        self.least, self.most = np.inf, -np.inf

    def bins(self, d: FloatArray) -> np.ndarray:
        """The bins of values that are given as their distance from the middle."""
        z = d * (1.0 / self.scale)
        below = np.abs(z)
        below += 1.0
        z /= below
        z *= BINS / 2
        z += BINS / 2
        bins: np.ndarray = z.astype(np.intp)
        return bins

    def add(self, counts: np.ndarray, least: float, most: float) -> None:
        """Add counts, and the least and the greatest of the values."""
        self.counts += counts
        self.least, self.most = min(self.least, least), max(self.most, most)

    def quantile(self, q: float) -> float:
        """The value below which a part q lies."""
        below = self._below()
        return float(self._where(below, q * below[-1]))

    def intervals(self, probability: float) -> tuple[tuple[float, float], tuple[float, float]]:
        """The probabilistically symmetric interval, and the shortest (JCGM 101:2008, 7.7.2 to 7.7.4), its lower end at an edge of a bin."""
        below = self._below()
        total, tail = below[-1], (1.0 - probability) / 2.0
        low, high = self._where(below, np.array([tail, 1.0 - tail]) * total).tolist()
        # from the first bin with a value to the last edge that still leaves enough above it
        first = int(np.searchsorted(below, 0, side="right")) - 1
        last = int(np.searchsorted(below, (1.0 - probability) * total, side="right"))
        lower = self._edges()[first:last]
        upper = self._where(below, below[first:last] + probability * total)
        best = int(np.argmin(upper - lower))
        return (low, high), (float(lower[best]), float(upper[best]))

    def _below(self) -> np.ndarray:
        """How many values lie below the edges of the bins."""
        return np.concatenate([[0], np.cumsum(self.counts)])

    def _edges(self) -> FloatArray:
        """The edges of the bins, the outermost at infinity; all within the least and the greatest value."""
        w = np.arange(BINS + 2) * (2.0 / BINS) - 1.0
        with np.errstate(divide="ignore"):
            edges = self.middle + self.scale * (w / np.maximum(1.0 - np.abs(w), 0.0))
        return np.asarray(np.clip(edges, self.least, self.most), dtype=np.float64)

    def _where(self, below: np.ndarray, wanted: FloatArray | float) -> FloatArray:
        """The places up to which the wanted numbers of values lie; across empty bins the lowest, hence the millionth of a value."""
        return np.asarray(np.interp(wanted - 1e-6, below, self._edges()))

    def width_at(self, y: float) -> float:
        """The width of the bin at y: a quantile there is off by less."""
        away = 1.0 + abs((y - self.middle) / self.scale)
        return 2.0 / BINS * away * away * self.scale
