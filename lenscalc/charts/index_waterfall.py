"""From the reading to the index in use: what each step moves, and what doubt it brings."""

from __future__ import annotations

import altair as alt
import numpy as np

from lenscalc.charts.columns import Columns, of_rows, records
from lenscalc.charts.drawing import Charted, Drawing, table
from lenscalc.charts.style import BLUE, ORANGE, ROWS_KEEP_THEIR_HEIGHT, Ground, ink, quiet, styled
from lenscalc.refractometer import IndexInUse
from lenscalc.uncertainty import with_u
from lenscalc.uncertainty.rounding import percent, with_sign

ROW_px = 46


@Charted
def index_waterfall(index: IndexInUse, *, case: int = 0, ground: Ground = "light") -> Drawing:
    """Steps from above to below, each a bar from the index before it to the index after it, its own u as a whisker about its end.

    The u of a step is what entered with it; all of them, added in squares, give the u of the index in use, the whisker of the last row. A step that
    neither moves the index nor adds to its u is left out.

    >>> import numpy as np
    >>> from lenscalc.refractometer import Step
    >>> from lenscalc.uncertainty import Estimate, Source
    >>> read = Estimate(np.array([1.4900]), {Source("replicates"): np.array([3e-4])})
    >>> wet = Estimate(np.array([1.4500]), {**read.parts, Source("shift on hydration"): np.array([4e-4])})
    >>> steps = (Step("reading", read), Step("hydrated", wet))
    >>> chart = index_waterfall(IndexInUse(wet, 546.07, 35.0, "relative to air", steps, False))
    >>> chart.to_dict()["description"]
    'Steps from 1.49000 as read to 1.45000 in use. Largest move: hydrated, −0.04000. Most of the doubt: hydrated, 64 % of u².'
    """
    rows = _rows(index, case)
    many = len(rows["step"])
    rows["place"] = np.array([f"{i:02d}" for i in range(many)])
    ends = np.concatenate([rows["low"], rows["high"], rows["whisker_low"], rows["whisker_high"]])
    reach = float(ends.max() - ends.min())
    room = 0.04 * reach or 1e-5
    return Drawing(
        _shape, (reach > 2e-3, ground), {"rows": rows}, {"low": float(ends.min()) - room, "high": float(ends.max()) + room},
        {"height": many * ROW_px}, _in_words(rows),
    )  # fmt: skip


def _shape(is_wide: bool, ground: Ground) -> alt.LayerChart:
    scale = alt.Scale(domain=["@low", "@high"], nice=False, zero=False)
    x = alt.X("low:Q", scale=scale, title="index", axis=alt.Axis(format=".4~f" if is_wide else ".5~f", tickCount=4))
    y = alt.Y("place:O", axis=None, scale=alt.Scale(paddingInner=0, paddingOuter=0))
    base = alt.Chart(table("rows"))
    down = 12
    moved, whole = (base.transform_filter(f"datum.kind == '{kind}'") for kind in ("step", "whole"))
    bars = moved.mark_bar(height=12, yOffset=down, color=BLUE, opacity=0.55).encode(x=x, x2="high:Q", y=y)
    points = whole.mark_point(shape="diamond", filled=True, size=110, opacity=1, yOffset=down, color=ink(ground)).encode(x=x, y=y)
    after = base.mark_tick(thickness=3, height=18, yOffset=down, color=BLUE).encode(x=alt.X("after:Q"), y=y)
    whiskers = base.mark_rule(strokeWidth=3, yOffset=down, color=ORANGE).encode(x=alt.X("whisker_low:Q"), x2="whisker_high:Q", y=y)
    caps = [base.mark_tick(thickness=3, height=13, yOffset=down, color=ORANGE).encode(x=alt.X(f"whisker_{end}:Q"), y=y) for end in ("low", "high")]
    texts = base.mark_text(align="left", baseline="middle", dy=-11).encode(x=alt.value(0), y=y, text="text:N")
    start = base.mark_tick(thickness=1, height=22, yOffset=down, color=quiet(ground)).encode(x=alt.X("start:Q"), y=y)  # clear of the words
    chart = alt.layer(start, bars, after, whiskers, *caps, points, texts).properties(width="container", autosize=ROWS_KEEP_THEIR_HEIGHT)
    return styled(chart, ground)


def _rows(index: IndexInUse, case: int) -> Columns:
    def of_case(x: object) -> float:
        return float(np.broadcast_to(np.asarray(x), np.shape(index.n.value)).reshape(-1)[case])

    u_end = of_case(index.n.u)
    rows, before = [], of_case(index.steps[0].n.value)
    start = before
    for i, (step, share) in enumerate(zip(index.steps, index.shares(case), strict=True)):
        after = of_case(step.n.value)
        change, u = after - before, share**0.5 * u_end
        if i and not change and not share:
            continue
        what = f"{after:.5f}" if i == 0 else with_sign(change, 5) if change else "no move"
        rows.append(("step", step.name, start, before, after, after, u, share, f"{_name(step.name)}: {what}, {percent(share)} of the doubt"))
        before = after
    rows.append(("whole", "in use", start, before, before, before, u_end, 0.0, f"Index in use: {with_u(before, u_end)}"))
    made = of_rows(["kind", "step", "start", "low", "high", "after", "u", "share", "text"], rows)
    made["change"] = made["high"] - made["low"]
    made["whisker_low"], made["whisker_high"] = made["after"] - made["u"], made["after"] + made["u"]
    return made


def _name(step: str) -> str:
    return step if step[0] in "0123456789" else step[0].upper() + step[1:]


def _in_words(rows: Columns) -> str:
    *steps, whole = records(rows)
    words = f"Steps from {steps[0]['after']:.5f} as read to {whole['after']:.5f} in use."
    farthest = max(steps, key=lambda step: abs(step["change"]))
    if farthest["change"]:
        words += f" Largest move: {farthest['step']}, {with_sign(farthest['change'], 5)}."
    doubt = max(steps, key=lambda step: float(step["share"]))
    return words + (f" Most of the doubt: {doubt['step']}, {percent(doubt['share'])} of u²." if doubt["share"] else " Without any u.")
