"""What the limits ask about a cure, brought up to date while it is computed, for many programmes at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from bagside.cure.design.bounds import Bounds
from bagside.cure.face import face_heat
from bagside.cure.lanes import Lanes
from bagside.cure.resin import CureResin
from bagside.cure.section import Section

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What has been seen of each lane so far, shape (g, b) unless said.

    Parameters
    ----------
    hottest
        Hottest the laminate was [K].
    tool
        Hottest place in or on the tool [K].
    spread
        Largest difference of degree of cure within the laminate.
    over
        Most by which the laminate was hotter than the air had been until then [K].
    wet
        Hottest any point of the laminate was before it gelled [K].
    stiff
        Least by which the glass transition was above the temperature anywhere [K].
    air
        Hottest the air was [K].
    alpha
        Least degree of cure now.
    done
        When the least degree of cure reached its target [s]; infinite until then.
    hot
        Hottest point of laminate and tool now [K].
    warm
        Until when it was too hot to be taken off [s].
    thin
        Logarithm of the viscosity asked for over the viscosity of each reacting cell now, shape (g, r).
    flow
        Time each reacting cell was thin enough, shape (g, r) [s].
    dose
        Degree of cure of each reacting cell summed over time, shape (g, r) [s].
    peak, peak_before
        Hottest point of the laminate now and a little ago [K].
    cells, cure
        Temperature [K] and degree of cure of each reacting cell now, shape (g, r).
    """

    hottest: Floats
    tool: Floats
    spread: Floats
    over: Floats
    wet: Floats
    stiff: Floats
    air: Floats
    alpha: Floats
    done: Floats
    hot: Floats
    warm: Floats
    thin: Floats
    flow: Floats
    dose: Floats
    peak: Floats
    peak_before: Floats
    cells: Floats
    cure: Floats

    def taken(self, which: Ints | Bools) -> Seen:
        """Return what was seen of some rows."""
        return Seen(**{f.name: getattr(self, f.name)[which] for f in fields(self)})

    def afresh(self) -> Seen:
        """Return the same with nothing seen yet of what is a most or a least, so that each line has its own."""
        none = np.full_like(self.hottest, -np.inf)
        return replace(self, hottest=none, tool=none, spread=none, over=none, wet=none, stiff=-none)

    def joined(self, before: Seen) -> Seen:
        """Return the same with the mosts and leasts of before as well."""
        return replace(
            self,
            hottest=np.maximum(self.hottest, before.hottest),
            tool=np.maximum(self.tool, before.tool),
            spread=np.maximum(self.spread, before.spread),
            over=np.maximum(self.over, before.over),
            wet=np.maximum(self.wet, before.wet),
            stiff=np.minimum(self.stiff, before.stiff),
        )


def crest(first: Floats, middle: Floats, last: Floats) -> Floats:
    """Return the highest point of a parabola through three equally spaced values; the middle where it has none.

    Parameters
    ----------
    first, middle, last
        The values, any shape.
    """
    bend = first - 2.0 * middle + last
    rise = last - first
    inside = (bend < 0.0) & (np.abs(rise) < -2.0 * bend)
    out: Floats = middle - np.where(inside, rise**2 / np.where(inside, 8.0 * bend, 1.0), 0.0)
    return out


def until_gel(before: Floats, cure: Floats, was: Floats, now: Floats, gel: float) -> Floats:
    """Return how hot each point is while it has not gelled; at its gel in between; minus infinity from then on.

    Parameters
    ----------
    before, cure
        Degree of cure a little ago and now, any shape.
    was, now
        Temperature then and now, same shape [K].
    gel
        Degree of cure at gel.
    """
    crossing = (before < gel) & (cure >= gel)
    share = np.where(crossing, (gel - before) / np.where(crossing, cure - before, 1.0), 0.0)
    out: Floats = np.where(cure < gel, now, np.where(crossing, was + share * (now - was), -np.inf))
    return out


class Watch:
    """What is to be looked at in the lanes of one row."""

    def __init__(self, sections: Sequence[Section], resin: CureResin, bounds: Bounds, target: float) -> None:
        lanes = Lanes.of(sections, resin.heat)
        self.resin, self.bounds, self.target = resin, bounds, target
        self.first_cell, self.last_cell = lanes.first, lanes.last
        self.cells = lanes.last - lanes.first + 1
        react = [s.reacting for s in sections]
        self.reacting = np.array([len(r) for r in react])
        self.first_reacting = np.concatenate([[0], np.cumsum(self.reacting)[:-1]]).astype(np.int64)
        self.which = lanes.reacting
        # from the first reacting cell of a lane on: laminate and tool, without what lies over them
        starts = np.array([r[0] for r in react]) + lanes.first
        self.part = np.stack([starts, lanes.last + 1], axis=1).ravel()[:-1]  # the last runs to the end
        behind = np.array([r[-1] + 1 for r in react]) + lanes.first
        self.has_tool = behind <= lanes.last
        self.behind = np.minimum(behind, lanes.last)
        half = [s.half_conductances for s in sections]
        self.g_lam = np.array([h[r[-1]] for h, r in zip(half, react, strict=True)])
        self.g_tool = np.array([h[min(r[-1] + 1, len(h) - 1)] for h, r in zip(half, react, strict=True)])
        self.back = (
            np.array([s.film_tool for s in sections]),
            np.array([h[-1] for h in half]),
            np.array([s.emissivity_tool for s in sections]),
        )
        self.tool_cells = np.stack([self.behind, lanes.last + 1], axis=1).ravel()[:-1]
        self.radiates = bool(self.back[2].any())
        film, grip = self.back[0], self.back[1]
        self.to_back = np.where(np.isinf(film), 0.0, grip / (np.where(np.isinf(film), 0.0, film) + grip))
        self.flows = bounds.flow is not None and resin.viscosity is not None

    def _most(self, values: Floats) -> Floats:
        out: Floats = np.maximum.reduceat(values, self.first_reacting, axis=1)
        return out

    def _least(self, values: Floats) -> Floats:
        out: Floats = np.minimum.reduceat(values, self.first_reacting, axis=1)
        return out

    def _part(self, temperature: Floats) -> Floats:
        """Return the hottest point of laminate and tool."""
        out: Floats = np.maximum.reduceat(temperature, self.part, axis=1)[:, ::2]
        return out

    def _tool(self, temperature: Floats, air: Floats) -> Floats:
        """Return the hottest place in or on the tool: inside, where it meets the laminate, and its back."""
        before, after = temperature[:, self.behind - 1], temperature[:, self.behind]
        meets = (self.g_lam * before + self.g_tool * after) / (self.g_lam + self.g_tool)
        outer = temperature[:, self.last_cell]
        back = face_heat(outer, air, *self.back).surface if self.radiates else air + self.to_back * (outer - air)
        inside = np.maximum.reduceat(temperature, self.tool_cells, axis=1)[:, ::2]
        out: Floats = np.where(self.has_tool, np.maximum(np.maximum(meets, back), inside), -np.inf)
        return out

    def _thin(self, alpha: Floats, t: Floats) -> Floats:
        if not self.flows or self.bounds.flow is None or self.resin.viscosity is None:
            return np.zeros_like(alpha)
        liquid = alpha < self.resin.gel
        mu = np.where(liquid, self.resin.viscosity.at(np.where(liquid, alpha, 0.0), t), np.inf)
        out: Floats = np.log(self.bounds.flow.viscosity) - np.minimum(np.log(mu), 700.0)
        return out

    def begun(self, temperature: Floats, alpha: Floats, air: Floats) -> Seen:
        """Return what is seen at the start, shapes (g, n), (g, r) and (g, b)."""
        t = temperature[:, self.which]
        least = self._least(alpha)
        zero = np.zeros_like(alpha)
        hot = self._part(temperature)
        return Seen(
            hottest=self._most(t),
            tool=self._tool(temperature, air),
            spread=self._most(alpha) - least,
            over=self._most(t) - air,
            wet=self._most(np.where(alpha < self.resin.gel, t, -np.inf)),
            stiff=self._least(self.resin.tg(alpha) - t),
            air=air,
            alpha=least,
            done=np.where(least >= self.target, 0.0, np.inf),
            hot=hot,
            warm=np.zeros_like(hot),
            thin=self._thin(alpha, t),
            flow=zero,
            dose=zero,
            peak=self._most(t),
            peak_before=self._most(t),
            cells=t,
            cure=alpha,
        )

    def updated(
        self,
        seen: Seen,
        temperature: Floats,
        alpha: Floats,
        air: Floats,
        time: Floats,
        span: Floats,
        whole: bool,
    ) -> Seen:
        """Return what is seen when a little time has gone by.

        Parameters
        ----------
        seen
            Before.
        temperature, alpha, air
            Now, shapes (g, n), (g, r) and (g, b).
        time, span
            Now, and the time gone by since, shape (g,) [s].
        whole
            Whether this is the end of a step, of which before was the middle: then a peak between is seen as well.
        """
        b = self.bounds
        t = temperature[:, self.which]
        now = self._most(t)
        hottest = np.maximum(now, crest(seen.peak_before, seen.peak, now)) if whole else now
        least = self._least(alpha)
        top = np.maximum(seen.air, air)
        done = seen.done
        fresh = np.isinf(done) & (least >= self.target)
        if fresh.any():
            gained = np.where(fresh, least - seen.alpha, 1.0)
            left = np.where(fresh, (least - self.target) / np.where(gained > 0.0, gained, 1.0), 0.0)
            done = np.where(fresh, time[:, None] - left * span[:, None], done)
        hot, warm = seen.hot, seen.warm
        if b.demould is not None:
            hot = self._part(temperature)
            drop = seen.hot - hot
            falls = (seen.hot > b.demould) & (drop > 0.0)
            left = np.where(falls, (b.demould - hot) / np.where(drop > 0.0, drop, 1.0), 0.0)
            crossed = time[:, None] - left * span[:, None]
            warm = np.where(hot > b.demould, time[:, None], np.where(seen.hot > b.demould, crossed, warm))
        thin, flow, dose = seen.thin, seen.flow, seen.dose
        if self.flows:
            thin = self._thin(alpha, t)
            gap = np.abs(thin - seen.thin)
            high, low = np.maximum(thin, seen.thin), np.minimum(thin, seen.thin)
            share = np.where(low >= 0.0, 1.0, np.where(high < 0.0, 0.0, high / np.where(gap > 0.0, gap, 1.0)))
            flow = flow + share * span[:, None]
            dose = dose + 0.5 * (seen.cure + alpha) * span[:, None]
        return Seen(
            hottest=np.maximum(seen.hottest, hottest),
            tool=seen.tool if b.tool is None else np.maximum(seen.tool, self._tool(temperature, air)),
            spread=np.maximum(seen.spread, self._most(alpha) - least),
            over=np.maximum(seen.over, hottest - top),
            wet=np.maximum(seen.wet, self._most(until_gel(seen.cure, alpha, seen.cells, t, self.resin.gel))),
            stiff=seen.stiff if b.stiff is None else np.minimum(seen.stiff, self._least(self.resin.tg(alpha) - t)),
            air=top,
            alpha=least,
            done=done,
            hot=hot,
            warm=warm,
            thin=thin,
            flow=flow,
            dose=dose,
            peak=now,
            peak_before=seen.peak,
            cells=t,
            cure=alpha,
        )

    def flowed(self, seen: Seen) -> Floats:
        """Return how long the lagging point of each lane was thin enough, shape (g, b) [s]."""
        out = np.empty_like(seen.alpha)
        for k, (start, count) in enumerate(zip(self.first_reacting, self.reacting, strict=True)):
            cells = slice(start, start + count)
            lagging = seen.dose[:, cells].argmin(axis=1)
            out[:, k] = seen.flow[np.arange(len(out)), start + lagging]
        return out
